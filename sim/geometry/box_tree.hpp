#pragma once
#include <array>
#include <cstdint>
#include <vector>

#include "sim/geometry/vec.hpp"

namespace ovolo {

/// A binary tree of boxes: which of many things lie near a place. Built once, then read only and thread-safe.
class BoxTree {
 public:
  BoxTree() = default;
  explicit BoxTree(std::vector<Box2> boxes);

  /// Calls visit(index) for every box that overlaps `box`, until visit returns true; true when it did.
  template <class Visit>
  bool any(const Box2& box, Visit&& visit) const {
    if (nodes_.empty()) return false;
    std::array<std::uint32_t, kDepth> stack;
    std::size_t top = 0;
    stack[top++] = 0;
    while (top > 0) {
      const Node& node = nodes_[stack[--top]];
      if (!node.box.overlaps(box)) continue;
      if (node.count == 0) {
        stack[top++] = node.first + 1;
        stack[top++] = node.first;
        continue;
      }
      for (std::uint32_t k = node.first; k < node.first + node.count; ++k)
        if (boxes_[order_[k]].overlaps(box) && visit(order_[k])) return true;
    }
    return false;
  }

  /// Branch and bound: `bound(box)` is a lower bound of what visit can find in the box, `visit(index)` looks
  /// at one thing and returns the best value so far; boxes whose bound lies above the best are passed over.
  template <class Bound, class Visit>
  void search(double best, Bound&& bound, Visit&& visit) const {
    if (nodes_.empty()) return;
    struct Entry {
      std::uint32_t node;
      double bound;
    };
    std::array<Entry, kDepth> stack;
    std::size_t top = 0;
    stack[top++] = {0, bound(nodes_[0].box)};
    while (top > 0) {
      const Entry entry = stack[--top];
      if (entry.bound > best) continue;
      const Node& node = nodes_[entry.node];
      if (node.count > 0) {
        for (std::uint32_t k = node.first; k < node.first + node.count; ++k)
          if (node.count == 1 || bound(boxes_[order_[k]]) <= best) best = visit(order_[k]);
        continue;
      }
      const double left = bound(nodes_[node.first].box);
      const double right = bound(nodes_[node.first + 1].box);
      if (left <= right) {
        stack[top++] = {node.first + 1, right};
        stack[top++] = {node.first, left};
      } else {
        stack[top++] = {node.first, left};
        stack[top++] = {node.first + 1, right};
      }
    }
  }

 private:
  static constexpr std::size_t kDepth = 64;  // halving 2^32 boxes needs 33
  struct Node {
    Box2 box;
    std::uint32_t first, count;  // a leaf's run in order_; count 0: inner, children at first and first + 1
  };
  std::vector<Node> nodes_;
  std::vector<std::uint32_t> order_;
  std::vector<Box2> boxes_;
};

/// Distance from p to the box, 0 inside.
inline double distance(const Box2& box, Vec2 p) {
  const double dx = std::fmax(0, std::fmax(box.lo.x - p.x, p.x - box.hi.x));
  const double dy = std::fmax(0, std::fmax(box.lo.y - p.y, p.y - box.hi.y));
  return std::sqrt(dx * dx + dy * dy);
}

}  // namespace ovolo
