#include "sim/solid/part_wall.hpp"

#include <algorithm>
#include <limits>
#include <set>
#include <utility>

#include "sim/solid/part_distance.hpp"

namespace ovolo {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

template <class Borders>
BoxTree tree_of(const Borders& borders) {
  std::vector<Box2> boxes;
  for (const auto& b : borders) boxes.push_back(b.contour.box());
  return BoxTree(std::move(boxes));
}

}  // namespace

PartWall::PartWall(const Job& job) {
  const double through = job.stock.thickness();
  std::set<std::pair<std::int32_t, Keep>> seen;
  for (const Operation& op : job.operations) {
    if (op.contour < 0 || op.kind == OperationKind::pocket || op.kind == OperationKind::turn) continue;
    const NamedContour& named = job.contours[static_cast<std::size_t>(op.contour)];
    const bool open = !named.contour.closed();
    if (open && (named.at.size() != 1 || op.kind == OperationKind::program || op.depth < through)) continue;
    if (!seen.insert({op.contour, op.keep}).second) continue;
    auto& borders = open ? open_ : op.keep == Keep::inside ? inside_ : outside_;
    for (const Vec2 at : named.at) borders.push_back({named.contour.translated(at), op.keep});
  }
  inside_tree_ = tree_of(inside_);
  outside_tree_ = tree_of(outside_);
  for (const Border& b : inside_) box_.add(b.contour.box());
}

double PartWall::depth(Vec2 p) const {
  double in = kInfinity;
  if (!inside_.empty()) {
    in = -kInfinity;
    inside_tree_.search(
        kInfinity, [&](const Box2& box) { return distance(box, p); },
        [&](std::uint32_t k) {
          in = std::max(in, part_distance(inside_[k].contour, Keep::inside, p));
          return in >= 0 ? 0 : -in;
        });
  }
  outside_tree_.search(
      std::max(in, 0.0), [&](const Box2& box) { return distance(box, p); },
      [&](std::uint32_t k) {
        in = std::min(in, part_distance(outside_[k].contour, outside_[k].keep, p));
        return std::max(in, 0.0);
      });
  for (const Border& b : open_) in = std::min(in, part_distance(b.contour, b.keep, p));
  return in;
}

std::vector<PartWall::Way> PartWall::ways() const {
  constexpr int kWays = 64;
  std::vector<Way> out;
  for (int i = 0; i < kWays; ++i)
    for (const auto* borders : {&inside_, &outside_, &open_})
      for (const Border& b : *borders) {
        const double s = b.contour.length() * (i + 0.5) / kWays;
        const Vec2 at = b.contour.point(s), left = perp(b.contour.tangent(s));
        const bool is_left = part_distance(b.contour, b.keep, at + 1e-3 * left) > 0;
        out.push_back({at, is_left ? left : -left});
      }
  return out;
}

}  // namespace ovolo
