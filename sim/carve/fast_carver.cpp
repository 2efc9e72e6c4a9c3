#include "sim/carve/fast_carver.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/stock/heightfield.hpp"

namespace ovolo {
namespace {

constexpr int kTile = Heightfield::kTile;
constexpr double kLarge = 30;    // mm, arcs of the path above this are told by differences
constexpr double kShallow = 60;  // mm, the same for arcs of the profile

FloatPiece float_piece(const Profile::Piece& piece) {
  using Kind = FloatPiece::Kind;
  FloatPiece p;
  p.r1 = static_cast<float>(piece.r1);
  if (piece.side == 0) {
    const double slope = (piece.h1 - piece.h0) / (piece.r1 - piece.r0);
    p.kind = piece.h1 == piece.h0 ? Kind::level : Kind::cone;
    p.base = static_cast<float>(piece.h0 - slope * piece.r0);
    p.slope = static_cast<float>(slope);
    return p;
  }
  const Segment& arc = piece.curve;
  p.side = static_cast<float>(piece.side);
  if (arc.radius < kShallow) {
    p.kind = Kind::arc;
    p.base = static_cast<float>(arc.centre.y);
    p.centre = static_cast<float>(arc.centre.x);
    p.radius = static_cast<float>(arc.radius);
  } else {
    p.kind = Kind::shallow;
    p.base = static_cast<float>(piece.h0);
    p.inner = static_cast<float>(piece.r0);
    p.twice_in = static_cast<float>(2 * (arc.centre.x - piece.r0));
    p.upright = static_cast<float>(std::abs(piece.h0 - arc.centre.y));
  }
  return p;
}

}  // namespace

// A tile as the geometry sees it: the box around its cell centres.
class FastCarver::Place {
 public:
  Place(const TileView& tile, double cell)
      : heights(tile.heights),
        cell_(cell),
        first(tile.first_centre),
        half{0.5 * (kTile - 1) * cell, 0.5 * (kTile - 1) * cell},
        middle(first + half) {}

  /// dot(direction, p - from) as a function of the cell.
  Linear linear(Vec2 direction, Vec2 from) const {
    return {static_cast<float>(dot(direction, first - from)), static_cast<float>(direction.x * cell_),
            static_cast<float>(direction.y * cell_)};
  }
  double spread(Vec2 direction) const { return half.x * (std::abs(direction.x) + std::abs(direction.y)); }
  /// Adds the limit dot(direction, p - from) >= 0 where part of the tile fails it; false when all of it does.
  bool limit(CellTask& task, Vec2 direction, Vec2 from) const {
    const double at_middle = dot(direction, middle - from), around = spread(direction);
    if (at_middle + around < -kBeyond) return false;
    if (at_middle - around < 0)
      task.within[static_cast<std::size_t>(task.limits++)] = linear(direction, from);
    return true;
  }
  void set_centre(CellTask& task, Vec2 centre) const {
    task.centre_x = static_cast<float>(centre.x - first.x);
    task.centre_y = static_cast<float>(centre.y - first.y);
  }

  float* heights;

 private:
  static constexpr double kBeyond = 1e-4;  // mm, the kernels' own leniency and more
  double cell_;

 public:
  Vec2 first, half, middle;
};

FastCarver::FastCarver(const Job& job, const std::vector<Cut>& cuts, double cell)
    : job_(job), cuts_(cuts), cell_(cell) {
  for (const ovolo::Bit& bit : job.bits) {
    Bit b;
    b.reach = bit.profile.cutting_radius();
    for (const Profile::Piece& piece : bit.profile.pieces()) {
      b.pieces.push_back(float_piece(piece));
      b.r1.push_back(piece.r1);
    }
    bits_.push_back(std::move(b));
  }
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

std::int64_t FastCarver::level(const Place& place, const Cut& cut, const Path& path, const Bit& bit) const {
  CellTask task;
  task.heights = place.heights;
  task.z = static_cast<float>(std::min(cut.move.z0, cut.move.z1));
  task.reach = static_cast<float>(bit.reach);
  task.cell = static_cast<float>(cell_);
  // Runs the task with the pieces that distances from `nearest` to `farthest` meet, with some room for
  // rounding.
  const auto run = [&](double nearest, double farthest) -> std::int64_t {
    constexpr double kRoom = 1e-4;
    if (nearest > bit.reach + kRoom) return 0;
    const auto piece_at = [&](double r) {
      return std::lower_bound(bit.r1.begin(), bit.r1.end() - 1, r) - bit.r1.begin();
    };
    const auto begin = piece_at(nearest - kRoom);
    task.piece = bit.pieces.data() + begin;
    task.pieces = static_cast<std::int32_t>(piece_at(farthest + kRoom) - begin + 1);
    return lower_cells(task);
  };

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
      cells += run(off - spread, off + spread);
    } else if (met) {
      const Vec2 v = place.middle - s.centre, away{std::abs(v.x), std::abs(v.y)};
      const double rho0 =
          std::hypot(std::max(0.0, away.x - place.half.x), std::max(0.0, away.y - place.half.y));
      const double rho1 = length(away + place.half);
      task.path = s.radius > kLarge ? CellTask::Path::large_ring : CellTask::Path::ring;
      task.radius = static_cast<float>(s.radius);
      place.set_centre(task, s.centre);
      const double first = distance(place.first, s.centre);
      task.excess = static_cast<float>((first - s.radius) * (first + s.radius));
      cells += run(std::max(rho0 - s.radius, s.radius - rho1), std::max(rho1 - s.radius, s.radius - rho0));
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
    cells += run(off - spread, off + spread);
  }
  return cells;
}

std::int64_t FastCarver::lower(const TileView& tile, std::uint32_t i) const {
  const Cut& cut = cuts_[i];
  if (!cut.move.level() && paths_[i].length > 0)
    return carve_exactly(tile, cut.move, job_.bits[cut.move.bit].profile, Surface{});
  return level(Place(tile, cell_), cut, paths_[i], bits_[cut.move.bit]);
}

}  // namespace ovolo
