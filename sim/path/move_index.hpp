#pragma once
#include <cstdint>
#include <vector>

#include "sim/geometry/box_tree.hpp"
#include "sim/path/plan.hpp"

namespace ovolo {

/// Spatial index of the moves' footprints (path grown by the bit's cutting radius), shared by tiles and
/// sections, without rapids and moves that do not count or stay above the face. Thread-safe once made.
class MoveIndex {
 public:
  MoveIndex(const Plan& plan, const Job& job);
  /// Moves whose footprint may touch the box, in ascending order of their index. `out` is cleared first.
  void query(const Box2& box, std::vector<std::uint32_t>& out) const;

 private:
  std::vector<std::uint32_t> moves_;  // the tree's boxes belong to these
  BoxTree tree_;
};

}  // namespace ovolo
