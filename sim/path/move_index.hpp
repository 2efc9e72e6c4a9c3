#pragma once
#include <cstdint>
#include <vector>

#include "sim/geometry/box_tree.hpp"
#include "sim/path/plan.hpp"

namespace ovolo {

/// Spatial index of the moves' footprints (path grown by the bit's cutting radius), shared by tiles and
/// sections. Rapids and moves that do not count are left out. Read-only and thread-safe after construction.
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
