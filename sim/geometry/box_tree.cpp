#include "sim/geometry/box_tree.hpp"

#include <algorithm>
#include <numeric>

namespace ovolo {

BoxTree::BoxTree(std::vector<Box2> boxes) : boxes_(std::move(boxes)) {
  constexpr std::uint32_t kLeaf = 4;
  if (boxes_.empty()) return;
  order_.resize(boxes_.size());
  std::iota(order_.begin(), order_.end(), 0U);
  nodes_.push_back({Box2{}, 0, static_cast<std::uint32_t>(boxes_.size())});
  for (std::size_t n = 0; n < nodes_.size(); ++n) {
    const std::uint32_t first = nodes_[n].first;
    const std::uint32_t count = nodes_[n].count;
    Box2 box, centres;
    for (std::uint32_t k = first; k < first + count; ++k) {
      const Box2& b = boxes_[order_[k]];
      box.add(b);
      centres.add(0.5 * (b.lo + b.hi));
    }
    nodes_[n].box = box;
    if (count <= kLeaf) continue;
    const Vec2 size = centres.hi - centres.lo;
    const bool along_x = size.x >= size.y;
    const auto begin = order_.begin() + first;
    const std::uint32_t half = count / 2;
    std::nth_element(begin, begin + half, begin + count, [&](std::uint32_t i, std::uint32_t j) {
      const double ci = along_x ? boxes_[i].lo.x + boxes_[i].hi.x : boxes_[i].lo.y + boxes_[i].hi.y;
      const double cj = along_x ? boxes_[j].lo.x + boxes_[j].hi.x : boxes_[j].lo.y + boxes_[j].hi.y;
      return ci != cj ? ci < cj : i < j;
    });
    const std::uint32_t child = static_cast<std::uint32_t>(nodes_.size());
    nodes_[n].first = child;
    nodes_[n].count = 0;
    nodes_.push_back({Box2{}, first, half});
    nodes_.push_back({Box2{}, first + half, count - half});
  }
}

}  // namespace ovolo
