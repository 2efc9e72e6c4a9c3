#include "sim/carve/merge.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

namespace ovolo {
namespace {

constexpr double kNear = 9e-5;  // mm, how far a place of the path may move
constexpr double kJoin = 1e-6;

bool mergeable(const Move& move) { return move.region < 0 && move.path.length() > 0; }

// Does b go on where a ends, under the same conditions?
bool follows(const Move& a, const Move& b) {
  return a.bit == b.bit && a.surface == b.surface && a.role == b.role && mergeable(b) &&
         a.level() == b.level() && distance(a.path.b, b.path.a) <= kJoin &&
         (a.level() ? a.z1 == b.z0 : std::abs(a.z1 - b.z0) <= kNear);
}

// Height runs evenly along the path: does it at the joints of moves [first, last) within the leeway?
bool climbs_evenly(const std::vector<Move>& moves, std::size_t first, std::size_t last) {
  if (moves[first].level()) return true;
  double whole = 0;
  for (std::size_t i = first; i < last; ++i) whole += moves[i].path.length();
  const double z0 = moves[first].z0, z1 = moves[last - 1].z1;
  double at = 0;
  for (std::size_t i = first; i + 1 < last; ++i) {
    at += moves[i].path.length();
    if (std::abs(z0 + (z1 - z0) * at / whole - moves[i].z1) > kNear) return false;
  }
  return true;
}

Move joined(const std::vector<Move>& moves, std::size_t first, std::size_t last, const Segment& path) {
  Move move = moves[first];
  move.path = path;
  move.z1 = moves[last - 1].z1;
  return move;
}

// Values that a straight line from a fixed start must pass near: which of its slopes still do.
class Corridor {
 public:
  /// A line of this slope ends here: is it near all points so far?
  bool holds(double slope) const { return slope >= low_ && slope <= high_; }
  void narrow(double slope, double leeway) {
    low_ = std::max(low_, slope - leeway);
    high_ = std::min(high_, slope + leeway);
  }
  bool closed() const { return low_ > high_; }

 private:
  double low_ = -1e300, high_ = 1e300;
};

// End of the longest run from `first` within [first, end) that one straight line replaces.
std::size_t straight_run(const std::vector<Move>& moves, std::size_t first, std::size_t end) {
  if (moves[first].path.is_arc()) return first + 1;
  const Vec2 start = moves[first].path.a;
  const Vec2 along = normalized(moves[first].path.b - start);
  Corridor across, climb;
  std::size_t last = first + 1;
  for (std::size_t i = first; i < end; ++i) {
    const Segment& s = moves[i].path;
    const double ahead = dot(along, s.b - start);
    if (s.is_arc() || !(dot(along, s.b - s.a) > 0) || !(ahead > 0)) break;
    const double direction = cross(along, s.b - start) / ahead,
                 slope = (moves[i].z1 - moves[first].z0) / ahead;
    if (across.holds(direction) && climb.holds(slope)) last = i + 1;
    across.narrow(direction, kNear / ahead);
    climb.narrow(slope, kNear / ahead);
    if (across.closed() || climb.closed()) break;
  }
  return last;
}

// The arc that replaces moves [first, last), if there is one: least squares through the joints and the
// middles of arcs.
std::optional<Segment> common_arc(const std::vector<Move>& moves, std::size_t first, std::size_t last) {
  const Vec2 origin = moves[first].path.a;
  double n = 0, sx = 0, sy = 0, sxx = 0, sxy = 0, syy = 0, sxz = 0, syz = 0, sz = 0;
  const auto add = [&](Vec2 p) {
    const double x = p.x - origin.x, y = p.y - origin.y, z = x * x + y * y;
    n += 1;
    sx += x;
    sy += y;
    sz += z;
    sxx += x * x;
    sxy += x * y;
    syy += y * y;
    sxz += x * z;
    syz += y * z;
  };
  add(origin);
  for (std::size_t i = first; i < last; ++i) {
    const Segment& s = moves[i].path;
    if (s.is_arc()) add(s.point(0.5 * s.length()));
    add(s.b);
  }
  const double a = sxx - sx * sx / n, b = sxy - sx * sy / n, d = syy - sy * sy / n;
  const double e = 0.5 * (sxz - sx * sz / n), f = 0.5 * (syz - sy * sz / n);
  const double determinant = a * d - b * b;
  if (!(determinant > 1e-12 * (a + d) * (a + d))) return std::nullopt;
  const Vec2 centre = origin + Vec2{(e * d - f * b) / determinant, (f * a - e * b) / determinant};
  const Vec2 finish = moves[last - 1].path.b;
  double turn = 0;
  for (std::size_t i = first; i < last; ++i) {
    const Vec2 from = moves[i].path.a - centre, to = moves[i].path.b - centre;
    const double part = std::atan2(cross(from, to), dot(from, to));
    if (part == 0 || (turn != 0 && (part < 0) != (turn < 0))) return std::nullopt;
    turn += part;
    if (std::abs(turn) > std::numbers::pi) return std::nullopt;
  }
  const Segment arc = Segment::arc_between(origin, finish, centre, turn > 0);
  for (std::size_t i = first; i < last; ++i) {
    const Segment& s = moves[i].path;
    if (s.is_arc() && (s.sweep > 0) != (turn > 0)) return std::nullopt;
    if (std::abs(distance(s.b, centre) - arc.radius) > kNear ||
        std::abs(distance(s.point(0.5 * s.length()), centre) - arc.radius) > kNear)
      return std::nullopt;
  }
  if (!climbs_evenly(moves, first, last)) return std::nullopt;
  return arc;
}

// End of the run from `first` that one arc replaces, found by doubling and halving; it need not be the
// longest.
std::size_t circular_run(const std::vector<Move>& moves, std::size_t first, std::size_t end,
                         std::optional<Segment>& arc) {
  std::size_t good = 1, bad = end - first + 1;
  for (std::size_t count = 3; good < bad - 1;) {
    count = std::min(count, bad - 1);
    if (auto found = common_arc(moves, first, first + count)) {
      arc = found;
      good = count;
      count = 2 * count;
    } else {
      bad = count;
      count = good + (bad - good) / 2;
      if (count <= good) break;
    }
    if (bad - good <= 1) break;
  }
  return first + good;
}

}  // namespace

std::vector<Move> merge_moves(const std::vector<Move>& moves) {
  std::vector<Move> out;
  for (std::size_t first = 0; first < moves.size();) {
    std::size_t end = first + 1;
    if (mergeable(moves[first]))
      while (end < moves.size() && follows(moves[end - 1], moves[end])) ++end;
    // Within this chain, the longer of the straight and the circular run at each place.
    while (first < end) {
      const std::size_t straight = straight_run(moves, first, end);
      std::optional<Segment> arc;
      const std::size_t circular = circular_run(moves, first, end, arc);
      if (arc && circular > straight) {
        out.push_back(joined(moves, first, circular, *arc));
        first = circular;
      } else if (straight > first + 1) {
        out.push_back(
            joined(moves, first, straight, Segment::line(moves[first].path.a, moves[straight - 1].path.b)));
        first = straight;
      } else {
        out.push_back(moves[first++]);
      }
    }
  }
  return out;
}

}  // namespace ovolo
