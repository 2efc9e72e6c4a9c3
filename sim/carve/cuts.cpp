#include "sim/carve/cuts.hpp"

#include <algorithm>

namespace ovolo {

Cuts collect_cuts(const Job& job, const Plan& plan, const MoveIndex& index, const Grid& grid) {
  const Vec2 size = grid.cell * Vec2{static_cast<double>(grid.columns), static_cast<double>(grid.rows)};
  std::vector<std::uint32_t> near;
  index.query({grid.origin, grid.origin + size}, near);
  Cuts cuts;
  const auto add = [&](const Move& move) {
    // A tip above the face cuts nothing; where the sheet itself is not flat that cannot be told here.
    if (std::min(move.z0, move.z1) >= 0 && plan.surfaces[move.surface].flat()) return;
    cuts.moves.push_back(move);
  };
  for (const std::uint32_t i : near) {
    const Move& move = plan.moves[i];
    add(move);
    if (move.region < 0) continue;
    for (const Contour& loop : plan.regions[static_cast<std::size_t>(move.region)].loops) {
      for (const Segment& s : loop.segments()) {
        Move around = move;
        around.path = s;
        around.region = -1;
        around.z1 = around.z0;
        add(around);
      }
    }
  }
  std::stable_sort(cuts.moves.begin(), cuts.moves.end(),
                   [](const Move& a, const Move& b) { return std::min(a.z0, a.z1) < std::min(b.z0, b.z1); });
  for (const Move& move : cuts.moves) cuts.reach.push_back(job.bits[move.bit].profile.cutting_radius());
  return cuts;
}

}  // namespace ovolo
