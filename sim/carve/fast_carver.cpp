#include "sim/carve/fast_carver.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/carve/climb_passes.hpp"

namespace ovolo {
namespace {

constexpr double kRoom = 1e-4;  // mm, for what single precision rounds

std::vector<FloatProfile> float_profiles(const Job& job) {
  std::vector<FloatProfile> out;
  for (const Bit& bit : job.bits) out.emplace_back(bit.profile);
  return out;
}

}  // namespace

FastCarver::FastCarver(const Job& job, const std::vector<Cut>& cuts, double cell)
    : cuts_(cuts), bits_(float_profiles(job)), climbs_(job, cuts, bits_, cell), cell_(cell) {
  paths_.reserve(cuts.size());
  for (const Cut& cut : cuts) {
    const Segment& s = cut.move.path;
    Path path;
    path.length = s.length();
    path.end = {s.a, s.b};
    path.outward = {-s.tangent(0), s.tangent(path.length)};
    path.along = path.outward[1];
    path.whole_circle = s.is_arc() && std::abs(s.sweep) >= 2 * std::numbers::pi;
    paths_.push_back(path);
  }
}

CellTask FastCarver::task_for(const TilePlace& place, const FloatProfile& bit) const {
  CellTask task;
  task.heights = place.heights;
  task.next = place.next;
  task.reach = static_cast<float>(bit.reach);
  task.cell = static_cast<float>(cell_);
  return task;
}

// Runs the task with the pieces that distances from `nearest` to `farthest` meet, with some room for
// rounding.
std::int64_t FastCarver::run(CellTask& task, const FloatProfile& bit, double nearest, double farthest) const {
  if (nearest > bit.reach + kRoom) return 0;
  const auto piece_at = [&](double r) {
    return std::lower_bound(bit.r1.begin(), bit.r1.end() - 1, r) - bit.r1.begin();
  };
  const auto begin = piece_at(nearest - kRoom);
  task.piece = bit.pieces.data() + begin;
  task.pieces = static_cast<std::int32_t>(piece_at(farthest + kRoom) - begin + 1);
  const std::int64_t looked_at = lower_cells(task);
  if (looked_at > 0) task.next = nullptr;  // once is enough
  return looked_at;
}

std::int64_t FastCarver::level(const TilePlace& place, const Cut& cut, const Path& path,
                               const FloatProfile& bit) const {
  CellTask task = task_for(place, bit);
  task.z = static_cast<float>(std::min(cut.move.z0, cut.move.z1));
  std::int64_t cells = 0;
  const Segment& s = cut.move.path;
  if (path.length > 0) {
    bool met = path.whole_circle;
    if (!met) met = place.limit(task, -path.outward[0], s.a) && place.limit(task, -path.outward[1], s.b);
    if (met && !s.is_arc()) {
      const Vec2 across = perp(path.along);
      task.path = across.x == 0   ? CellTask::Path::rows
                  : across.y == 0 ? CellTask::Path::columns
                                  : CellTask::Path::strip;
      task.across = place.linear(across, s.a);
      const double off = std::abs(dot(across, place.middle - s.a)), spread = place.spread(across);
      cells += run(task, bit, off - spread, off + spread);
    } else if (met) {
      place.set_circle(task, s);
      double rho0 = 0, rho1 = 0;
      place.distances(s.centre, rho0, rho1);
      cells += run(task, bit, std::max(rho0 - s.radius, s.radius - rho1),
                   std::max(rho1 - s.radius, s.radius - rho0));
    }
  }
  task.path = CellTask::Path::disc;
  for (std::size_t e = 0; e < (path.length > 0 ? 2 : 1); ++e) {
    if (!cut.ends[e].open) continue;
    const Vec2 p = path.end[e];
    const double off = distance(place.middle, p), spread = length(place.half);
    if (off - spread > bit.reach) continue;
    task.limits = 0;
    if (path.length > 0 && !place.limit(task, path.outward[e], p)) continue;
    if (cut.ends[e].shared && !place.limit(task, cut.ends[e].other, p)) continue;
    place.set_centre(task, p);
    cells += run(task, bit, off - spread, off + spread);
  }
  return cells;
}

namespace {

// Tells the task where the tile lies beside the path, and the range of that; false when the bit does not
// reach it. `before`: how far it reaches before the low end.
bool set_straight(const TilePlace& place, const ClimbingPath& path, double reach, double before, double cell,
                  ClimbTask& task, ClimbPasses::Range& range) {
  const Vec2 up = path.up, across = perp(up), low = path.end[path.low];
  const double off = std::abs(dot(across, place.middle - low)), spread = place.spread(across);
  range.nearest = std::max(0.0, off - spread);
  range.farthest = off + spread;
  if (range.nearest > reach) return false;
  const double along = dot(up, place.middle - low);
  range.along_least = along - place.spread(up);
  range.along_most = along + place.spread(up);
  task.path = CellTask::Path::strip;
  task.across = place.linear(across, low);
  task.along = place.linear(up, low);
  task.height = {static_cast<float>(path.z_low + path.slope * dot(up, place.first - low)),
                 static_cast<float>(path.slope * up.x * cell), static_cast<float>(path.slope * up.y * cell)};
  return place.limit(task, up, low - before * up) && place.limit(task, -up, path.end[path.high] + reach * up);
}

bool set_circular(const TilePlace& place, const ClimbingPath& path, double reach, ClimbTask& task,
                  ClimbPasses::Range& range) {
  const Segment& s = path.path;
  double rho0 = 0, rho1 = 0;
  place.distances(s.centre, rho0, rho1);
  range.nearest = rho0 - s.radius;
  range.farthest = rho1 - s.radius;
  if (range.nearest > reach || range.farthest < -reach) return false;
  const double away = std::max(1e-9, distance(place.middle, s.centre));
  const double seen = std::asin(std::min(1.0, length(place.half) / away));
  task.small_angles = seen < 0.24 && std::pow(seen, 7) / 7 * path.slope * s.radius < 2e-6;
  place.set_circle(task, s);
  const Vec2 v = place.middle - s.centre;
  const Vec2 out = length(v) > 1e-6 * s.radius ? normalized(v) : Vec2{1, 0};
  task.along = place.linear(out, s.centre);
  task.height = place.linear(path.sense * perp(out), s.centre);
  constexpr double kTurn = 2 * std::numbers::pi;
  // Counted from the low end, within half a turn of the path's middle.
  const double least = 0.5 * path.length / s.radius - std::numbers::pi;
  double angle = path.sense * (angle_of(out) - path.angle);
  angle -= kTurn * std::floor((angle - least) / kTurn);
  task.turn = static_cast<float>(kTurn * s.radius);
  task.along_middle = static_cast<float>(angle * s.radius);
  task.height_middle = static_cast<float>(path.z_low + path.slope * angle * s.radius);
  if (task.small_angles) {
    range.along_least = (angle - seen) * s.radius;
    range.along_most = (angle + seen) * s.radius;
  }
  return true;
}

// Adds what is to be done to the tile but for the ends' rounds. Returns how far behind a foot in it the sweep
// may be lowest.
double add_passes(const TilePlace& place, const ClimbingPath& path, const ClimbPasses::Range& range,
                  double reach, std::span<const ClimbZone> zones, std::span<const ClimbPlace> places,
                  ClimbPasses& passes) {
  double behind = 0;
  // Where the zone does not tell: from `from` to `to` beside the path, up to `back` from its low end.
  const auto near_low_end = [&](double from, double to, double back) {
    if (!(from < to) || from > range.farthest || to < range.nearest) return;
    behind = std::max(behind, back);
    for (const ClimbPlace& p : places)
      if (!p.end || nearest_back(path.path, p, from, to) <= back)
        passes.add(p, from, to, 0, std::min(back, path.length));
  };
  const double whole = path.length + reach;
  double told_to = path.circular() ? -std::min(reach, path.path.radius) : 0;
  for (const ClimbZone& zone : zones) {
    const double from = static_cast<double>(zone.from), to = static_cast<double>(zone.to);
    const double back = static_cast<double>(zone.back);
    near_low_end(told_to, from, whole);
    passes.add(zone, back, path.length);
    near_low_end(from, to, back);
    told_to = to;
  }
  near_low_end(told_to, reach, whole);
  double least = 0, most = 0;  // from the high end
  place.distances(path.end[path.high], least, most);
  for (const ClimbPlace& p : places)
    if (!p.end ||
        (least <= static_cast<double>(p.piece.r1) + kRoom && most >= static_cast<double>(p.past_from)))
      passes.add(p, range.nearest, range.farthest, path.length,
                 path.length + static_cast<double>(p.most_back));
  return std::min(behind, whole);
}

}  // namespace

std::int64_t FastCarver::climb(const TilePlace& place, std::uint32_t i) const {
  const Cut& cut = cuts_[i];
  const FloatProfile& bit = bits_[cut.move.bit];
  const ClimbingPath path(cut.move);
  ClimbTask task;
  static_cast<CellTask&>(task) = task_for(place, bit);
  task.slope = static_cast<float>(path.slope);
  task.length = static_cast<float>(path.length);
  ClimbPasses::Range range;
  const double before = cut.ends[path.low].open ? bit.reach : 0;
  if (path.circular() ? !set_circular(place, path, bit.reach, task, range)
                      : !set_straight(place, path, bit.reach, before, cell_, task, range))
    return 0;
  ClimbPasses passes(place, task, path, range);
  const double behind =
      add_passes(place, path, range, bit.reach, climbs_.zones(i), climbs_.places(i), passes);
  const std::int64_t cells = passes.run();

  for (const std::size_t e : {path.low, path.high}) {
    const double off = distance(place.middle, path.end[e]), spread = length(place.half);
    if (!cut.ends[e].open || off - spread > bit.reach) continue;
    CellTask round = task_for(place, bit);
    round.next = nullptr;
    round.path = CellTask::Path::disc;
    round.z = static_cast<float>(e == path.low ? path.z_low : path.z_high);
    place.set_centre(round, path.end[e]);
    // The low end can be the lowest as far as places behind the foot can lie, the high one from there on.
    const double along = e == path.low ? behind : path.length;
    const Vec2 climb = path.climb_at(along);
    const bool by_line = !path.circular() || (path.path.radius > 2 * bit.reach &&
                                              (e == path.high || along < 0.5 * path.half_turn()));
    if (by_line && !place.limit(round, e == path.low ? -climb : climb, path.at(along))) continue;
    run(round, bit, off - spread, off + spread);
  }
  return cells;
}

std::int64_t FastCarver::lower(const TileView& tile, std::uint32_t i) const {
  const TilePlace place(tile, cell_);
  if (climbs_.climbs(i)) return climb(place, i);
  return level(place, cuts_[i], paths_[i], bits_[cuts_[i].move.bit]);
}

}  // namespace ovolo
