#include "sim/carve/fast_carver.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>

#include "sim/parallel.hpp"
#include "sim/path/climb.hpp"
#include "sim/stock/heightfield.hpp"

namespace ovolo {
namespace {

constexpr int kTile = Heightfield::kTile;
constexpr double kLarge = 30;      // mm, arcs of the path above this are told by differences
constexpr double kShallow = 60;    // mm, the same for arcs of the profile
constexpr double kRoom = 1e-4;     // mm, for what single precision rounds
constexpr double kUpright = 1e-4;  // mm^2, far more than rounding makes of a root's square

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
    p.radius2 = static_cast<float>(arc.radius * arc.radius);
    const double u0 = piece.r0 - arc.centre.x, u1 = piece.r1 - arc.centre.x;
    p.steep = std::max(u0 * u0, u1 * u1) > arc.radius * arc.radius - kUpright;
  } else {
    p.kind = Kind::shallow;
    p.base = static_cast<float>(piece.h0);
    p.inner = static_cast<float>(piece.r0);
    p.twice_in = static_cast<float>(2 * (arc.centre.x - piece.r0));
    p.upright = static_cast<float>(std::abs(piece.h0 - arc.centre.y));
  }
  return p;
}

// A corner of the profile at r1 lies farther back than the round of a climbing path's high end by no more
// than the chord between their distances, times a share on circles; the climb over that way is all it gains.
// Returns the distance from the end up to which the round is lower by more than that.
double past_from(const Profile& profile, double r1, double h1, double radius, double slope) {
  double longer = 1;
  if (radius > 0) {
    if (radius < 2 * r1) return 0;
    longer = 1.6;  // within a quarter of the radius: sqrt(2) for the nearer chord, 1.1 for its arc
  }
  constexpr int kSteps = 64;
  for (int k = 0; k < kSteps; ++k) {
    const double d = r1 * k / kSteps, next = r1 * (k + 1) / kSteps;
    if (h1 - profile.height(next) <= longer * slope * std::sqrt((r1 - d) * (r1 + d))) return d;
  }
  return r1;
}

}  // namespace

// A tile as the geometry sees it: the box around its cell centres.
class FastCarver::Place {
 public:
  Place(const TileView& tile, double cell)
      : heights(tile.heights),
        next(tile.next),
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
  template <class Limited>
  bool limit(Limited& task, Vec2 direction, Vec2 from) const {
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

  void set_circle(CellTask& task, const Segment& arc) const {
    task.path = arc.radius > kLarge ? CellTask::Path::large_ring : CellTask::Path::ring;
    task.radius = static_cast<float>(arc.radius);
    set_centre(task, arc.centre);
    const Vec2 from = first - arc.centre;
    const double rho = std::sqrt(dot(from, from));
    const double excess = (rho - arc.radius) * (rho + arc.radius);
    task.excess = static_cast<float>(excess);
    double least2 = 0, most2 = 0;
    squares(arc.centre, least2, most2);
    set_far(task, arc.radius, 0.5 * (least2 + most2), 0.5 * (most2 - least2));
  }
  // rho - radius with rho^2 = middle2 + half2 t, t in [-1, 1], as a polynomial in t: the series of the root,
  // whose last two terms are told by lower ones so that Chebyshev's polynomials are left out. The lowest
  // degree that is near enough.
  static void set_far(CellTask& task, double radius, double middle2, double half2) {
    constexpr double kNear = 3e-6;  // mm
    const double root = std::sqrt(middle2), s = half2 / middle2, s2 = s * s;
    std::array<double, 7> c{(middle2 - radius * radius) / (root + radius),
                            root * s / 2,
                            -root * s2 / 8,
                            root * s2 * s / 16,
                            root * s2 * s2 * (-5.0 / 128),
                            root * s2 * s2 * s * (7.0 / 256),
                            root * s2 * s2 * s2 * (-21.0 / 1024)};
    // Size of what is left out: the Chebyshev terms and the first beyond the series.
    const auto near = [&](std::size_t degree, double beyond) {
      return std::abs(c[degree + 1]) / (1 << degree) + std::abs(beyond) <= kNear;
    };
    if (near(2, c[5]))
      task.far_degree = 2;
    else if (near(3, c[6]))
      task.far_degree = 3;
    else if (near(4, root * s2 * s2 * s2 * s * (33.0 / 2048)))
      task.far_degree = 4;
    else
      return;
    if (task.far_degree == 4) {
      c[4] += 1.5 * c[6];  // t^6 = 3/2 t^4 - 9/16 t^2 + 1/32 + T6 / 32
      c[2] -= 9.0 / 16 * c[6];
      c[0] += c[6] / 32;
    }
    if (task.far_degree >= 3) {
      c[3] += 1.25 * c[5];  // t^5 = 5/4 t^3 - 5/16 t + T5 / 16
      c[1] -= 0.3125 * c[5];
    }
    if (task.far_degree <= 3) {
      c[2] += c[4];  // t^4 = t^2 - 1/8 + T4 / 8
      c[0] -= c[4] / 8;
    }
    if (task.far_degree == 2) c[1] += 0.75 * c[3];  // t^3 = 3/4 t + T3 / 4
    task.path = CellTask::Path::far_ring;
    task.excess_middle = static_cast<float>(middle2 - radius * radius);
    task.excess_scale = static_cast<float>(1 / half2);
    for (std::size_t k = 0; k < task.far.size(); ++k)
      task.far[k] = k <= static_cast<std::size_t>(task.far_degree) ? static_cast<float>(c[k]) : 0;
  }
  /// Least and largest square of the distance of the tile's cells from p.
  void squares(Vec2 p, double& least, double& most) const {
    const Vec2 away{std::abs(middle.x - p.x), std::abs(middle.y - p.y)};
    const Vec2 near{std::max(0.0, away.x - half.x), std::max(0.0, away.y - half.y)};
    least = dot(near, near);
    most = dot(away + half, away + half);
  }
  /// Least and largest distance of the tile's cells from p.
  void distances(Vec2 p, double& least, double& most) const {
    squares(p, least, most);
    least = std::sqrt(least);
    most = std::sqrt(most);
  }

  float* heights;
  const float* next;

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
    const Profile::Piece* before = nullptr;
    for (const Profile::Piece& piece : bit.profile.pieces()) {
      b.pieces.push_back(float_piece(piece));
      b.pieces.back().goes_on = before && std::abs(before->h1 - piece.h0) < 1e-7;
      b.r1.push_back(piece.r1);
      before = &piece;
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
  prepare_climbs();
}

// Curves are shared by climbs that are alike. A place that is lowest for a slope and a radius off by a share
// d is off by about as much, and too high by d^2 only: rounding them stays far below what floats hold, and is
// made coarser where there would be too many tables. The gain tables, first order in d, share rounding errors
// alone; what they cost to work out they must save in cells.
void FastCarver::prepare_climbs() {
  constexpr double kRounding = 1e-8, kFine = 1e-4;
  constexpr std::size_t kMostKinds = 2000;
  constexpr double kZonesWorth = 1e6;  // cells
  struct Kind {
    std::uint32_t bit;
    std::int64_t slope, radius;  // logarithms, in steps
    auto operator<=>(const Kind&) const = default;
  };
  constexpr std::int64_t kStraight = std::numeric_limits<std::int64_t>::min();
  const auto kind_of = [&](std::size_t i, double step) {
    const Move& move = cuts_[i].move;
    const double slope = std::abs(move.z1 - move.z0) / paths_[i].length;
    return Kind{move.bit, std::llround(std::log(slope) / step),
                move.path.is_arc() ? std::llround(std::log(move.path.radius) / step) : kStraight};
  };
  // Numbers the kinds of all climbing cuts.
  const auto number = [&](double step, std::vector<std::int32_t>& of, std::map<Kind, std::int32_t>& kinds) {
    for (std::size_t i = 0; i < cuts_.size(); ++i) {
      const Move& move = cuts_[i].move;
      if (move.level() || !(paths_[i].length > 0) || move.region >= 0) continue;
      of[i] = kinds.try_emplace(kind_of(i, step), static_cast<std::int32_t>(kinds.size())).first->second;
    }
  };
  climb_of_.assign(cuts_.size(), -1);
  zones_of_.assign(cuts_.size(), -1);
  std::map<Kind, std::int32_t> alike, same;
  double step = kFine;
  for (number(step, climb_of_, alike); alike.size() > kMostKinds; number(step, climb_of_, alike)) {
    alike.clear();
    step *= 4;
  }
  climbs_.resize(alike.size());
  std::vector<Kind> keys(alike.size());
  for (const auto& [kind, k] : alike) keys[static_cast<std::size_t>(k)] = kind;
  parallel_for(keys.size(), [&](std::size_t k) {
    const auto& [bit, slope, radius] = keys[k];
    Climb& climb = climbs_[k];
    const double like_radius = radius == kStraight ? 0 : std::exp(static_cast<double>(radius) * step);
    const double like_slope = std::exp(static_cast<double>(slope) * step);
    const auto& pieces = job_.bits[bit].profile.pieces();
    std::vector<std::vector<ClimbBack>> curved(pieces.size());
    std::size_t count = 0;
    for (std::size_t p = 0; p < pieces.size(); ++p) {
      if (pieces[p].side != 0) curved[p] = climb_backs(pieces[p], like_radius, like_slope);
      count += curved[p].size();
    }
    climb.backs.reserve(count);  // places point into them
    // On a circle the way along it is longer than the straight one, by half a turn of it at most.
    const bool circular = like_radius > 0;
    const double longer = circular ? 0.5 * std::numbers::pi : 1;
    for (std::size_t p = 0; p < pieces.size(); ++p) {
      const double r1 = pieces[p].r1;
      ClimbPlace place;
      place.piece = bits_[bit].pieces[p];
      place.r0 = static_cast<float>(pieces[p].r0);
      place.h1 = static_cast<float>(pieces[p].h1);
      for (const ClimbBack& back : curved[p]) {
        climb.backs.push_back(back);
        place.curved = &climb.backs.back().back;
        place.from = place.curved->from;
        place.to = place.curved->to;
        place.most_back = back.most_back;
        climb.places.push_back(place);
      }
      place.curved = nullptr;
      place.from = circular ? -static_cast<float>(std::min(r1, like_radius)) : 0;
      place.to = place.piece.r1;
      place.most_back = static_cast<float>(longer * r1 + 1e-3);
      if (place.piece.kind == FloatPiece::Kind::cone) climb.places.push_back(place);
      place.end = true;
      place.past_from =
          static_cast<float>(past_from(job_.bits[bit].profile, r1, pieces[p].h1, like_radius, like_slope));
      climb.places.push_back(place);
    }
  });

  number(kRounding, zones_of_, same);
  std::vector<double> cells(same.size(), 0);
  std::vector<std::size_t> example(same.size(), 0);
  for (std::size_t i = 0; i < cuts_.size(); ++i) {
    if (zones_of_[i] < 0) continue;
    const std::size_t k = static_cast<std::size_t>(zones_of_[i]);
    cells[k] += paths_[i].length * 2 * bits_[cuts_[i].move.bit].reach / (cell_ * cell_);
    example[k] = i;
  }
  zones_.resize(same.size());
  parallel_for(same.size(), [&](std::size_t k) {
    if (cells[k] < kZonesWorth) return;
    const Move& move = cuts_[example[k]].move;
    const double slope = std::abs(move.z1 - move.z0) / paths_[example[k]].length;
    zones_[k] = climb_zones(job_.bits[move.bit].profile, move.path.radius, slope);
  });
}

CellTask FastCarver::task_for(const Place& place, const Bit& bit) const {
  CellTask task;
  task.heights = place.heights;
  task.next = place.next;
  task.reach = static_cast<float>(bit.reach);
  task.cell = static_cast<float>(cell_);
  return task;
}

// Runs the task with the pieces that distances from `nearest` to `farthest` meet, with some room for
// rounding.
std::int64_t FastCarver::run(CellTask& task, const Bit& bit, double nearest, double farthest) const {
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

std::int64_t FastCarver::level(const Place& place, const Cut& cut, const Path& path, const Bit& bit) const {
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

// The shortest way back to a corner of the profile for places from `from` to `to` beside the path.
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

// Directions and places along a path that climbs, by the way from its low end.
class ClimbingPath {
 public:
  ClimbingPath(const Segment& path, Vec2 low, Vec2 up, double sense) : path_(path), low_(low), up_(up) {
    if (path_.is_arc()) {
      sense_ = sense;
      angle_ = angle_of(low - path_.centre);
    }
  }
  /// The line across the path there, as a place on it and the direction of climb.
  Vec2 at(double along) const { return path_.is_arc() ? path_.centre : low_ + along * up_; }
  /// Stretches along it are told by two such lines up to here.
  bool circular() const { return path_.is_arc(); }
  double half_turn() const {
    return path_.is_arc() ? std::numbers::pi * path_.radius : std::numeric_limits<double>::infinity();
  }
  Vec2 climb_at(double along) const {
    return path_.is_arc() ? sense_ * perp(unit(angle_ + sense_ * along / path_.radius)) : up_;
  }

 private:
  const Segment& path_;
  Vec2 low_, up_;
  double sense_ = 1, angle_ = 0;
};

}  // namespace

// The stretches of the path's strip that the tile can meet, each with what is to be done there. Behind the
// foot, within the bit's reach, the sweep is lowest at a zone's place, when that lies on the path. Near the
// low end and past the high one it may not: there each kind of place is looked at, and the rounds of the
// ends.
class FastCarver::ClimbPasses {
 public:
  /// The tile's distances from the path, as ClimbZone's y, and the way along it to its cells' feet.
  struct Range {
    double nearest = 0, farthest = 0;
    double along_least = -std::numeric_limits<double>::infinity(),
           along_most = std::numeric_limits<double>::infinity();
  };
  ClimbPasses(const Place& place, const ClimbTask& task, const ClimbingPath& path, const Range& range)
      : place_(place), task_(task), path_(path), range_(range) {}

  void add(const ClimbPlace& kind, double from, double to, double along0, double along1) {
    ClimbPass pass;
    pass.place = &kind;
    add(pass, std::max(from, static_cast<double>(kind.from)), std::min(to, static_cast<double>(kind.to)),
        along0, along1);
  }
  void add(const ClimbZone& zone, double along0, double along1) {
    ClimbPass pass;
    pass.zone = &zone;
    add(pass, static_cast<double>(zone.from), static_cast<double>(zone.to), along0, along1);
  }
  std::int64_t run() {
    const std::int64_t cells = lower_cells_climbing(task_, {passes_.data(), count_});
    count_ = 0;
    return cells;
  }

 private:
  void add(ClimbPass& pass, double from, double to, double along0, double along1) {
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

  const Place& place_;
  const ClimbTask& task_;
  const ClimbingPath& path_;
  const Range range_;
  std::array<ClimbPass, 24> passes_;
  std::size_t count_ = 0;
};

std::int64_t FastCarver::climb(const Place& place, std::uint32_t i) const {
  const Cut& cut = cuts_[i];
  const Path& path = paths_[i];
  const Segment& s = cut.move.path;
  const Bit& bit = bits_[cut.move.bit];
  const std::size_t low = cut.move.z0 < cut.move.z1 ? 0 : 1, high = 1 - low;
  const double z_low = std::min(cut.move.z0, cut.move.z1), z_high = std::max(cut.move.z0, cut.move.z1);
  const double slope = (z_high - z_low) / path.length;
  const double sense = (s.sweep > 0) == (low == 0) ? 1 : -1;
  const ClimbingPath climbing(s, path.end[low], path.outward[high], sense);
  ClimbTask task;
  static_cast<CellTask&>(task) = task_for(place, bit);
  task.slope = static_cast<float>(slope);
  task.length = static_cast<float>(path.length);
  ClimbPasses::Range range;
  if (!s.is_arc()) {
    const Vec2 up = path.outward[high], across = perp(up);
    const double off = std::abs(dot(across, place.middle - s.a)), spread = place.spread(across);
    range.nearest = std::max(0.0, off - spread);
    range.farthest = off + spread;
    if (range.nearest > bit.reach) return 0;
    const double along = dot(up, place.middle - path.end[low]);
    range.along_least = along - place.spread(up);
    range.along_most = along + place.spread(up);
    const double before = cut.ends[low].open ? bit.reach : 0;
    if (!place.limit(task, up, path.end[low] - before * up)) return 0;
    if (!place.limit(task, -up, path.end[high] + bit.reach * up)) return 0;
    task.path = CellTask::Path::strip;
    task.across = place.linear(across, s.a);
    task.along = place.linear(up, path.end[low]);
    task.height = {static_cast<float>(z_low + slope * dot(up, place.first - path.end[low])),
                   static_cast<float>(slope * up.x * cell_), static_cast<float>(slope * up.y * cell_)};
  } else {
    double rho0 = 0, rho1 = 0;
    place.distances(s.centre, rho0, rho1);
    range.nearest = rho0 - s.radius;
    range.farthest = rho1 - s.radius;
    if (range.nearest > bit.reach || range.farthest < -bit.reach) return 0;
    const double seen =
        std::asin(std::min(1.0, length(place.half) / std::max(1e-9, distance(place.middle, s.centre))));
    task.small_angles = seen < 0.24 && std::pow(seen, 7) / 7 * slope * s.radius < 2e-6;
    place.set_circle(task, s);
    const Vec2 v = place.middle - s.centre;
    const Vec2 out = length(v) > 1e-6 * s.radius ? normalized(v) : Vec2{1, 0};
    task.along = place.linear(out, s.centre);
    task.height = place.linear(sense * perp(out), s.centre);
    constexpr double kTurn = 2 * std::numbers::pi;
    // Counted from the low end, within half a turn of the path's middle.
    const double least = 0.5 * path.length / s.radius - std::numbers::pi;
    double angle = sense * (angle_of(out) - angle_of(path.end[low] - s.centre));
    angle -= kTurn * std::floor((angle - least) / kTurn);
    task.turn = static_cast<float>(kTurn * s.radius);
    task.along_middle = static_cast<float>(angle * s.radius);
    task.height_middle = static_cast<float>(z_low + slope * angle * s.radius);
    if (task.small_angles) {
      range.along_least = (angle - seen) * s.radius;
      range.along_most = (angle + seen) * s.radius;
    }
  }

  ClimbPasses passes(place, task, climbing, range);
  const std::vector<ClimbPlace>& places = climbs_[static_cast<std::size_t>(climb_of_[i])].places;
  double behind = 0;  // how far behind a foot in this tile the sweep may be lowest
  // Where the zone does not tell: from `from` to `to` beside the path, up to `back` from its low end.
  const auto near_low_end = [&](double from, double to, double back) {
    if (!(from < to) || from > range.farthest || to < range.nearest) return;
    behind = std::max(behind, back);
    for (const ClimbPlace& p : places)
      if (!p.end || nearest_back(s, p, from, to) <= back)
        passes.add(p, from, to, 0, std::min(back, path.length));
  };
  double told_to = s.is_arc() ? -std::min(bit.reach, s.radius) : 0;
  const double whole = path.length + bit.reach;
  for (const ClimbZone& zone : zones_[static_cast<std::size_t>(zones_of_[i])]) {
    const double from = static_cast<double>(zone.from), to = static_cast<double>(zone.to);
    const double back = static_cast<double>(zone.back);
    near_low_end(told_to, from, whole);
    passes.add(zone, back, path.length);
    near_low_end(from, to, back);
    told_to = to;
  }
  near_low_end(told_to, bit.reach, whole);
  double end_least = 0, end_most = 0;
  place.distances(path.end[high], end_least, end_most);
  for (const ClimbPlace& p : places)
    if (!p.end || (end_least <= static_cast<double>(p.piece.r1) + kRoom &&
                   end_most >= static_cast<double>(p.past_from)))
      passes.add(p, range.nearest, range.farthest, path.length,
                 path.length + static_cast<double>(p.most_back));
  const std::int64_t cells = passes.run();

  for (const std::size_t e : {low, high}) {
    const Vec2 p = path.end[e];
    const double off = distance(place.middle, p), spread = length(place.half);
    if (!cut.ends[e].open || off - spread > bit.reach) continue;
    CellTask round = task_for(place, bit);
    round.next = nullptr;
    round.path = CellTask::Path::disc;
    round.z = static_cast<float>(e == low ? z_low : z_high);
    place.set_centre(round, p);
    // The low end can be the lowest as far as places behind the foot can lie, the high one from there on.
    const double along = e == low ? std::min(behind, whole) : path.length;
    const Vec2 climb = climbing.climb_at(along);
    const bool by_line =
        !s.is_arc() || (s.radius > 2 * bit.reach && (e == high || along < 0.5 * climbing.half_turn()));
    if (by_line && !place.limit(round, e == low ? -climb : climb, climbing.at(along))) continue;
    run(round, bit, off - spread, off + spread);
  }
  return cells;
}

std::int64_t FastCarver::lower(const TileView& tile, std::uint32_t i) const {
  const Place place(tile, cell_);
  if (climb_of_[i] >= 0) return climb(place, i);
  return level(place, cuts_[i], paths_[i], bits_[cuts_[i].move.bit]);
}

}  // namespace ovolo
