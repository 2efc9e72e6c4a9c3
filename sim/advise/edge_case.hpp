#pragma once
#include "sim/advise/wish_window.hpp"
#include "sim/job.hpp"
#include "sim/measure/edge.hpp"

namespace ovolo {

/// One bit against one straight edge with its wishes: what the dial turns, tests and changes. Owns all of it,
/// so that what-ifs are copies.
struct EdgeCase {
  Bit bit;
  WantedForm wanted;
  Stock stock;
  Wishes wishes;
  UnevenFace face;  ///< how the face stands along the edge

  /// Of an edge operation. Throws JobError when the bit has no form to dial.
  static EdgeCase of(const Job& job, std::uint32_t operation);

  /// The greatest depth worth looking at: through the sheet and its spoilboard allowance.
  double deepest() const { return stock.thickness() + stock.spoilboard; }
  /// The window of this case; the case must outlive it and stay where it is.
  WishWindow window() const { return WishWindow(bit.profile, wanted, stock, wishes, deepest(), face); }
  /// The section that a level pass leaves along a straight edge.
  SectionMeasures measure(double depth, double offset) const;
  /// The wishes that such a section breaks, as a verdict would count them.
  WishSet broken(const SectionMeasures& m) const;
};

}  // namespace ovolo
