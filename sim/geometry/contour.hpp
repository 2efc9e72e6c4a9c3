#pragma once
#include <memory>
#include <string>
#include <vector>

#include "sim/geometry/box_tree.hpp"
#include "sim/geometry/segment.hpp"

namespace ovolo {

/// A chain of lines and arcs, each starting where the last one ends; closed when the last ends at the first's
/// start. mm in the sheet's plane. Built once, then read only.
class Contour {
 public:
  Contour() = default;
  /// Segments of no length (1e-9 mm or less) are left out and small gaps closed: segments()[i].b is the next
  /// one's a to the bit. Throws std::invalid_argument when nothing is left, when ends are apart by more than
  /// 1e-6 mm, or on a non-finite value.
  Contour(std::vector<Segment> segments, bool closed);

  /// Counter-clockwise from the left end of the lower side. Throws std::invalid_argument on a size or a
  /// radius that cannot be.
  static Contour rectangle(Vec2 centre, Vec2 size, double corner_radius);
  /// Counter-clockwise from the centre's right, one segment.
  static Contour circle(Vec2 centre, double radius);

  const std::vector<Segment>& segments() const { return segments_; }
  bool closed() const { return closed_; }
  bool empty() const { return segments_.empty(); }
  double length() const { return starts_.empty() ? 0 : starts_.back(); }
  /// Arc length at the start of segment i; i == size gives the whole length.
  double start_of(std::size_t i) const { return starts_[i]; }
  /// Index of the segment holding arc length s (clamped), and the arc length within it.
  std::size_t locate(double s, double& within) const;
  Vec2 point(double s) const;
  Vec2 tangent(double s) const;
  struct Nearest {
    double distance;
    double s;  ///< arc length along the contour
    std::size_t segment;
    Vec2 point;
  };
  Nearest nearest(Vec2 p) const;
  /// Closed contours: signed area, positive counter-clockwise.
  double signed_area() const;
  /// Closed contours: is p inside (winding number not zero).
  bool contains(Vec2 p) const;
  Box2 box() const { return box_; }
  /// The segments' boxes, by segment index.
  const BoxTree& tree() const { return *tree_; }
  Contour reversed() const;
  Contour translated(Vec2 by) const;

 private:
  std::vector<Segment> segments_;
  std::vector<double> starts_;  // one more than the segments
  bool closed_ = false;
  Box2 box_;
  std::shared_ptr<const BoxTree> tree_;
};

/// First place along the contour where it crosses or touches itself away from its joints; false when it does
/// not.
bool self_crossing(const Contour& contour, Vec2& where);

}  // namespace ovolo
