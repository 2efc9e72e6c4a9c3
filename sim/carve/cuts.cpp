#include "sim/carve/cuts.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/carve/merge.hpp"
#include "sim/geometry/box_tree.hpp"

namespace ovolo {
namespace {

constexpr double kSame = 2e-5;  // mm, paths this near each other are one
constexpr double kJoin = 1e-6;  // mm, ends this near each other meet

double low(const Move& move) { return std::min(move.z0, move.z1); }

// The moves to carve, as they come.
std::vector<Move> cutting_moves(const Plan& plan, const std::vector<std::uint32_t>& near) {
  std::vector<Move> out;
  const auto add = [&](const Move& move) {
    // A tip above the face cuts nothing; where the sheet itself is not flat that cannot be told here.
    if (low(move) < 0 || !plan.surfaces[move.surface].flat()) out.push_back(move);
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
  return out;
}

// Arcs of more than half a turn, but for level full circles, in two halves.
std::vector<Move> with_halves(const std::vector<Move>& moves) {
  std::vector<Move> out;
  for (const Move& move : moves) {
    const double turn = std::abs(move.path.sweep);
    if (move.region >= 0 || !move.path.is_arc() || turn <= std::numbers::pi ||
        (turn >= 2 * std::numbers::pi && move.level())) {
      out.push_back(move);
      continue;
    }
    Move half = move;
    const double length = move.path.length();
    half.path = move.path.part(0, 0.5 * length);
    half.z1 = 0.5 * (move.z0 + move.z1);
    out.push_back(half);
    half.path = move.path.part(0.5 * length, length);
    half.z0 = half.z1;
    half.z1 = move.z1;
    out.push_back(half);
  }
  return out;
}

bool is_full_circle(const Segment& s) { return std::abs(s.sweep) >= 2 * std::numbers::pi; }

// Does the path run along the whole of `part`?
bool runs_along(const Segment& path, const Segment& part) {
  const double length = part.length();
  if (path.is_arc()) {
    if (length > 0 && (!part.is_arc() || distance(path.centre, part.centre) > kSame ||
                       std::abs(path.radius - part.radius) > kSame || part.length() > path.length() + kSame))
      return false;
  } else if (part.is_arc()) {
    return false;
  }
  for (const double share :
       {0.0, 0.25, 0.5, 0.75, 1.0})  // an arc of a half turn must not pass for its complement
    if (path.distance(part.point(share * length)) > kSame) return false;
  return true;
}

// A level move at or below another along the same path, with the same bit, leaves nothing for it to do.
std::vector<Move> without_hidden(std::vector<Move> moves) {
  std::vector<Box2> boxes;
  for (const Move& move : moves) boxes.push_back(move.region >= 0 ? Box2{} : move.path.box());
  const BoxTree tree(boxes);
  std::vector<Move> out;
  for (std::size_t i = 0; i < moves.size(); ++i) {
    const Move& move = moves[i];
    bool hidden = false;
    if (move.region < 0) {
      const Vec2 middle = move.path.point(0.5 * move.path.length());
      hidden = tree.any(Box2{middle, middle}.grown(kSame), [&](std::uint32_t j) {
        const Move& other = moves[j];
        if (j == i || !other.level() || other.bit != move.bit || other.surface != move.surface ||
            other.z0 > low(move) || !runs_along(other.path, move.path))
          return false;
        // Of two that hide each other the first stays.
        return !(move.level() && other.z0 == move.z0 && runs_along(move.path, other.path) && i < j);
      });
    }
    if (!hidden) out.push_back(move);
  }
  return out;
}

// Direction in which the path leaves its end at a (0) or b (1).
Vec2 outward(const Segment& path, int end) {
  return end == 0 ? -path.tangent(0) : path.tangent(path.length());
}

// Finds the ends that other cuts leave as well.
void settle_ends(std::vector<Cut>& cuts) {
  constexpr double kStraightOn = 1e-6;  // radians
  std::vector<Box2> boxes;
  for (const Cut& cut : cuts)
    boxes.push_back(cut.move.region >= 0 ? Box2{} : cut.move.path.box().grown(kJoin));
  const BoxTree tree(boxes);
  for (std::size_t i = 0; i < cuts.size(); ++i) {
    Cut& cut = cuts[i];
    const Segment& path = cut.move.path;
    if (cut.move.region >= 0 || !(path.length() > 0)) continue;
    if (cut.move.level() && path.is_arc() && is_full_circle(path)) {
      cut.ends[0].open = cut.ends[1].open = false;
      continue;
    }
    for (int e = 0; e < 2; ++e) {
      const Vec2 p = e == 0 ? path.a : path.b, out = outward(path, e);
      const double z = e == 0 ? cut.move.z0 : cut.move.z1;
      Cut::End& end = cut.ends[static_cast<std::size_t>(e)];
      const bool closed = tree.any({p, p}, [&](std::uint32_t j) {
        const Move& other = cuts[j].move;
        const double whole = other.path.length();
        if (j == i || !other.level() || other.bit != cut.move.bit || other.surface != cut.move.surface ||
            other.z0 > z || !(whole > 0) || other.path.distance(p) > kJoin)
          return false;
        const double s = other.path.nearest(p);
        if ((s > kJoin && s < whole - kJoin) || (other.path.is_arc() && is_full_circle(other.path)))
          return true;
        const Vec2 other_out = outward(other.path, s <= kJoin ? 0 : 1);
        if (dot(out, other_out) < 0 && std::abs(cross(out, other_out)) < kStraightOn) return true;
        if (!cut.move.level() || other.z0 < z) return true;  // the other one keeps its end's round
        if (!end.shared) {
          end.shared = true;
          end.other = other_out;
        }
        return j < i;
      });
      end.open = !closed;
    }
  }
}

}  // namespace

std::vector<Cut> collect_cuts(const Job& job, const Plan& plan, const MoveIndex& index, const Box2& part) {
  std::vector<std::uint32_t> near;
  index.query(part, near);
  std::vector<Move> moves = without_hidden(with_halves(merge_moves(cutting_moves(plan, near))));
  std::stable_sort(moves.begin(), moves.end(), [](const Move& a, const Move& b) { return low(a) < low(b); });
  std::vector<Cut> cuts;
  cuts.reserve(moves.size());
  for (const Move& move : moves) {
    Cut cut;
    cut.move = move;
    cut.reach = move.region >= 0 ? 0 : job.bits[move.bit].profile.cutting_radius();
    cuts.push_back(cut);
  }
  settle_ends(cuts);
  return cuts;
}

}  // namespace ovolo
