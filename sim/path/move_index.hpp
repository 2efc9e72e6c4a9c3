#pragma once
#include <cstdint>
#include <vector>

#include "sim/path/plan.hpp"

namespace ovolo {

/// Spatial index of the moves' footprints (path grown by the bit's cutting radius), shared by tiles and
/// sections. Rapids are left out. Read-only and thread-safe after construction.
class MoveIndex {
 public:
  MoveIndex(const Plan& plan, const Job& job);
  /// Moves whose footprint may touch the box, in ascending order of their index. `out` is cleared first.
  void query(const Box2& box, std::vector<std::uint32_t>& out) const;

 private:
  struct Node {
    Box2 box;
    std::uint32_t first, count;  // a leaf's run in order_; count 0: inner, children at first and first + 1
  };
  std::vector<Node> nodes_;
  std::vector<std::uint32_t> order_;
  std::vector<Box2> boxes_;
};

}  // namespace ovolo
