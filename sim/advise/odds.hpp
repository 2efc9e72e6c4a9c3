#pragma once
#include <memory>

#include "sim/advise/errors.hpp"
#include "sim/advise/uneven_face.hpp"
#include "sim/advise/wish.hpp"
#include "sim/job.hpp"
#include "sim/stop.hpp"

namespace ovolo {

/// The chance that an edge cut with given settings breaks a wish, the errors being what they are: a level
/// pass along a straight edge that no other operation touches, its face standing as `face` tells. Worked out
/// by nested quadrature to 1e-9, the wishes' limits being those of sections and their measures; no sampling.
///
/// A point-cutting roundover's readings are varied as they were taken, so that its working depth and tip flat
/// move together where one follows from the other. Of any other form the reading error shifts the whole form
/// in height and, by half, in width.
class EdgeOdds {
 public:
  EdgeOdds(const Bit& bit, const WantedForm& wanted, const Stock& stock, const Wishes& wishes,
           const SettingErrors& errors, UnevenFace face = {}, StopCheck stop = {});
  ~EdgeOdds();
  EdgeOdds(EdgeOdds&&) noexcept;

  /// Chance in [0, 1] that any wish of the set is broken at this depth and offset (mm); keeps its relative
  /// precision when small. Thread-safe. Asks `stop` first, whose exception ends a search that asks for many.
  double failure(double depth, double offset, WishSet set = WishSet::all()) const;
  /// One standard deviation of the depth and of the offset as the wishes feel them, mm.
  double depth_sigma() const;
  double offset_sigma() const;

  class Model;

 private:
  std::unique_ptr<const Model> model_;
  StopCheck stop_;
};

}  // namespace ovolo
