#include "sim/carve/climb_passes.hpp"

#include <algorithm>

#include "sim/path/climb.hpp"

namespace ovolo {

ClimbingPath::ClimbingPath(const Move& move)
    : path(move.path),
      length(path.length()),
      low(move.z0 < move.z1 ? 0 : 1),
      high(1 - low),
      end{path.a, path.b},
      z_low(std::min(move.z0, move.z1)),
      z_high(std::max(move.z0, move.z1)),
      slope((z_high - z_low) / length),
      up(high == 1 ? path.tangent(length) : -path.tangent(0)) {
  if (!circular()) return;
  sense = (path.sweep > 0) == (low == 0) ? 1 : -1;
  angle = angle_of(end[low] - path.centre);
}

double nearest_back(const Segment& path, const ClimbPlace& corner, double from, double to) {
  double least = std::numeric_limits<double>::infinity();
  for (double y : {from, to}) {  // it is longest somewhere between two, never shortest
    const double r = static_cast<double>(corner.piece.r1);
    y = std::clamp(y, -r, r);
    const Beside b =
        path.is_arc() ? Beside::arc(std::max(0.0, path.radius + y), path.radius) : Beside::line(y);
    least = std::min(least, b.back(r));
  }
  return least;
}

void ClimbPasses::add(const ClimbPlace& kind, double from, double to, double along0, double along1) {
  ClimbPass pass;
  pass.place = &kind;
  add(pass, std::max(from, static_cast<double>(kind.from)), std::min(to, static_cast<double>(kind.to)),
      along0, along1);
}
void ClimbPasses::add(const ClimbZone& zone, double along0, double along1) {
  ClimbPass pass;
  pass.zone = &zone;
  add(pass, static_cast<double>(zone.from), static_cast<double>(zone.to), along0, along1);
}

void ClimbPasses::add(ClimbPass& pass, double from, double to, double along0, double along1) {
  if (!(from <= to) || !(along0 < along1) || from > range_.farthest || to < range_.nearest) return;
  along1 = std::min(along1, along0 + path_.half_turn());
  // Round a circle the same places come again.
  bool met = false, inside = false;
  for (const double round : {0.0, -2 * path_.half_turn(), 2 * path_.half_turn()}) {
    const double least = range_.along_least + round, most = range_.along_most + round;
    met = met || !(most < along0 || least > along1);
    inside = inside || (least >= along0 && most <= along1);
    if (!path_.circular()) break;
  }
  if (!met) return;
  if (!inside && (!place_.limit(pass, path_.climb_at(along0), path_.at(along0)) ||
                  !place_.limit(pass, -path_.climb_at(along1), path_.at(along1))))
    return;
  pass.from = static_cast<float>(from);
  pass.to = static_cast<float>(to);
  if (count_ == passes_.size()) run();
  passes_[count_++] = pass;
}

std::int64_t ClimbPasses::run() {
  const std::int64_t cells = lower_cells_climbing(task_, {passes_.data(), count_});
  count_ = 0;
  return cells;
}

}  // namespace ovolo
