#include "sim/path/move_index.hpp"

#include <algorithm>

namespace ovolo {

MoveIndex::MoveIndex(const Plan& plan, const Job& job) {
  std::vector<Box2> boxes;
  for (std::size_t i = 0; i < plan.moves.size(); ++i) {
    const Move& move = plan.moves[i];
    if (move.role == MoveRole::rapid || !move.counted) continue;
    const Box2 path =
        move.region >= 0 ? plan.regions[static_cast<std::size_t>(move.region)].box() : move.path.box();
    if (path.empty()) continue;
    const Box2 box = path.grown(job.bits[move.bit].profile.cutting_radius());
    if (std::min(move.z0, move.z1) + plan.surfaces[move.surface].bounds(box).lo > 0) continue;
    moves_.push_back(static_cast<std::uint32_t>(i));
    boxes.push_back(box);
  }
  tree_ = BoxTree(std::move(boxes));
}

void MoveIndex::query(const Box2& box, std::vector<std::uint32_t>& out) const {
  out.clear();
  tree_.any(box, [&](std::uint32_t k) {
    out.push_back(moves_[k]);
    return false;
  });
  std::sort(out.begin(), out.end());
}

}  // namespace ovolo
