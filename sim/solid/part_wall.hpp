#pragma once
#include <vector>

#include "sim/geometry/box_tree.hpp"
#include "sim/job.hpp"

namespace ovolo {

/// Where in plan the part can be: within a closed contour that edges, cut-outs and programs keep inside (any
/// of them, at any of its places), outside of every one that they keep outside, and, of an open contour that
/// stands at one place and is cut through the sheet, on the kept side. The wall of a contour bounds the part
/// whether or not the scene also cuts it out.
class PartWall {
 public:
  explicit PartWall(const Job& job);

  /// False when no contour says where the part is: it may be anywhere.
  bool bounds() const { return !inside_.empty() || !outside_.empty() || !open_.empty(); }
  /// Distance to the wall, mm: positive in the part, negative outside, +inf where nothing bounds it.
  double depth(Vec2 p) const;
  /// Holds the whole part when a contour is kept inside; else empty.
  const Box2& box() const { return box_; }

  /// Places along the wall, 64 on each contour in turn, with the way into the part: material first met on
  /// the way belongs to the part.
  struct Way {
    Vec2 from, inward;
  };
  std::vector<Way> ways() const;

 private:
  struct Border {
    Contour contour;  // where it stands
    Keep keep;
  };
  std::vector<Border> inside_, outside_, open_;
  BoxTree inside_tree_, outside_tree_;
  Box2 box_;
};

}  // namespace ovolo
