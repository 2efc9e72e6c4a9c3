#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "sim/carve/merge.hpp"
#include "tests/support/slow_twin.hpp"

namespace ovolo {
namespace {

using test::arc_move;
using test::line_move;

// The move in pieces of about this length, arcs as chords, joints rounded to `digits` of a millimetre.
std::vector<Move> broken(const Move& move, double piece, double digits = 0) {
  const double whole = move.path.length();
  const int n = std::max(1, static_cast<int>(std::lround(whole / piece)));
  const auto rounded = [&](Vec2 p) {
    return digits > 0 ? Vec2{std::round(p.x / digits) * digits, std::round(p.y / digits) * digits} : p;
  };
  std::vector<Move> out;
  for (int i = 0; i < n; ++i) {
    const double s0 = whole * i / n, s1 = whole * (i + 1) / n;
    const auto z = [&](double s) { return move.z0 + (move.z1 - move.z0) * (s / whole); };
    Move m = move;
    m.path = Segment::line(rounded(move.path.point(s0)), rounded(move.path.point(s1)));
    m.z0 = move.level() ? move.z0 : z(s0);
    m.z1 = move.level() ? move.z0 : z(s1);
    out.push_back(m);
  }
  return out;
}

// How far the path's places lie from the merged moves', mm, in plan and in height.
double farthest(const std::vector<Move>& from, const std::vector<Move>& to) {
  double worst = 0;
  for (const Move& move : from) {
    for (int k = 0; k <= 8; ++k) {
      const double s = move.path.length() * k / 8, z = move.z0 + (move.z1 - move.z0) * k / 8;
      const Vec2 p = move.path.point(s);
      double nearest = 1e300;
      for (const Move& m : to) {
        const double t = m.path.nearest(p), share = m.path.length() > 0 ? t / m.path.length() : 0;
        nearest = std::min(nearest, std::hypot(m.path.distance(p), m.z0 + (m.z1 - m.z0) * share - z));
      }
      worst = std::max(worst, nearest);
    }
  }
  return worst;
}

}  // namespace

TEST_CASE("Pieces of a line become one line", "[merge]") {
  for (const double z1 : {-3.0, -5.5}) {
    const Move line = line_move({3, 4}, {90, -20}, -3, z1);
    for (const double digits : {0.0, 1e-4}) {
      const auto pieces = broken(line, 0.1, digits);
      const auto merged = merge_moves(pieces);
      REQUIRE(pieces.size() > 800);
      CHECK(merged.size() <= (digits > 0 ? 60u : 1u));
      CHECK(farthest(pieces, merged) < 1e-4);
      CHECK(merged.front().path.a == pieces.front().path.a);
      CHECK(merged.back().path.b == pieces.back().path.b);
      CHECK(merged.back().z1 == pieces.back().z1);
    }
  }
}

TEST_CASE("Chords of a circle become arcs", "[merge]") {
  for (const double z1 : {-3.0, -5.5}) {
    const Move arc = arc_move({10, 20}, 15, 0.4, 2.5, -3, z1);
    const auto pieces = broken(arc, 0.1);
    const auto merged = merge_moves(pieces);
    REQUIRE(pieces.size() > 300);
    REQUIRE(merged.size() == 1);
    CHECK(merged[0].path.is_arc());
    CHECK(merged[0].path.radius == Approx(15).margin(1e-4));
    CHECK(farthest(pieces, merged) < 1e-4);
  }
}

TEST_CASE("What is not one line or circle stays apart", "[merge]") {
  const Move a = line_move({0, 0}, {10, 0}, -3, -3);
  CHECK(merge_moves({a, line_move({10, 0}, {20, 0.01}, -3, -3)}).size() == 2);   // a bend
  CHECK(merge_moves({a, line_move({10, 0}, {5, 0}, -3, -3)}).size() == 2);       // back again
  CHECK(merge_moves({a, line_move({10, 0}, {20, 0}, -3.1, -3.1)}).size() == 2);  // lower
  CHECK(merge_moves({a, line_move({10, 0}, {20, 0}, -3, -3.1)}).size() == 2);    // a ramp
  CHECK(merge_moves({a, line_move({10.1, 0}, {20, 0}, -3, -3)}).size() == 2);    // a gap
  CHECK(merge_moves({a, line_move({10, 0}, {20, 0}, -3, -3, 1)}).size() == 2);   // another bit
  CHECK(merge_moves({a, line_move({10, 0}, {20, 0}, -3, -3)}).size() == 1);
  const Move ramp = line_move({0, 0}, {10, 0}, -3, -4);
  CHECK(merge_moves({ramp, line_move({10, 0}, {20, 0}, -4, -5)}).size() == 1);
  CHECK(merge_moves({ramp, line_move({10, 0}, {20, 0}, -4, -5.001)}).size() == 2);
  // Chords of 1 mm leave the circle by 8 um.
  CHECK(merge_moves(broken(arc_move({0, 0}, 15, 0, 1, -3, -3), 1)).size() > 10);
  // An S turns the other way half-way.
  auto s = broken(arc_move({0, 0}, 30, 0, 0.5, -3, -3), 0.1);
  const Vec2 joint = s.back().path.b, centre = 2.0 * joint;
  const double from = angle_of(joint - centre);
  for (const Move& m : broken(arc_move(centre, 30, from, -0.5, -3, -3), 0.1)) s.push_back(m);
  s[s.size() / 2].path.a = s[s.size() / 2 - 1].path.b;
  const auto merged = merge_moves(s);
  CHECK(merged.size() >= 2);
  CHECK(merged.size() <= 4);
  CHECK(farthest(s, merged) < 1e-4);
}

TEST_CASE("Random chains stay where they are", "[merge]") {
  std::mt19937 random(5);
  const auto between = [&](double lo, double hi) {
    return lo + (hi - lo) * (static_cast<double>(random()) / 4294967296.0);
  };
  for (int round = 0; round < 40; ++round) {
    std::vector<Move> chain;
    Vec2 at{0, 0};
    double heading = 0, z = -2;
    for (int i = 0; i < 30; ++i) {
      const double length = between(0.3, 6), z1 = random() % 3 ? z : z - between(0, 0.5);
      if (random() % 2) {
        const Vec2 to = at + length * unit(heading);
        for (const Move& m : broken(line_move(at, to, z, z1), between(0.05, 0.8))) chain.push_back(m);
        at = to;
      } else {
        const double radius = between(4, 40), side = random() % 2 ? 1 : -1;
        const Vec2 centre = at + side * radius * perp(unit(heading));
        const Move arc = arc_move(centre, radius, angle_of(at - centre), side * length / radius, z, z1);
        for (const Move& m : broken(arc, between(0.05, 0.3))) chain.push_back(m);
        at = arc.path.b;
        heading += arc.path.sweep;
      }
      z = z1;
    }
    const auto merged = merge_moves(chain);
    CHECK(merged.size() < chain.size());
    CHECK(farthest(chain, merged) < 1e-4);
    CHECK(farthest(merged, chain) < 1e-4);
  }
}

}  // namespace ovolo
