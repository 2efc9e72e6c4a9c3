#include "sim/geometry/segment.hpp"

#include <catch2/catch.hpp>
#include <numbers>
#include <random>

using namespace ovolo;
using Catch::Detail::Approx;
constexpr double kPi = std::numbers::pi;

namespace {

Approx near_to(double v) { return Approx(v).margin(1e-12).epsilon(0); }

// Any line or arc with coordinates of a few mm, full circles included.
Segment any_segment(std::mt19937_64& random) {
  std::uniform_real_distribution<double> place(-5, 5);
  std::uniform_real_distribution<double> turn(-2 * kPi, 2 * kPi);
  const Vec2 a{place(random), place(random)};
  if (random() % 2 == 0) return Segment::line(a, {place(random), place(random)});
  const double sweep = random() % 8 == 0 ? 2 * kPi : turn(random);
  return Segment::arc(a, std::abs(place(random)) + 0.1, turn(random), sweep);
}

}  // namespace

TEST_CASE("a line's length, points, nearest point and parallels", "[segment]") {
  const Segment s = Segment::line({1, 2}, {4, 6});
  CHECK(s.length() == near_to(5));
  CHECK(s.point(2.5).x == near_to(2.5));
  CHECK(s.point(9) == Vec2{4, 6});
  CHECK(s.tangent(1).y == near_to(0.8));
  CHECK(s.curvature() == 0);
  CHECK(s.nearest({1, 2}) == 0);
  CHECK(s.nearest({10, 10}) == near_to(5));
  CHECK(s.distance({1 - 0.8, 2 + 0.6}) == near_to(1));
  const Segment left = s.offset_left(2);
  CHECK(left.a.x == near_to(1 - 1.6));
  CHECK(left.a.y == near_to(2 + 1.2));
  CHECK(left.length() == near_to(5));
}

TEST_CASE("arcs longer than half a turn are exact", "[segment]") {
  const Segment s = Segment::arc({1, 1}, 2, 0, 1.5 * kPi);
  CHECK(s.length() == near_to(3 * kPi));
  CHECK(s.b.x == near_to(1));
  CHECK(s.b.y == near_to(-1));
  CHECK(s.point(kPi).y == near_to(3));
  CHECK(s.tangent(0).y == near_to(1));
  CHECK(s.distance({-2, 1}) == near_to(1));
  CHECK(s.distance({1, 1}) == near_to(2));
  // In the missing quarter the ends are the nearest.
  CHECK(s.distance({3, -1}) == near_to(2));
  CHECK(s.nearest({3, 0.9}) == near_to(0));
  CHECK(s.box().lo.x == near_to(-1));
  CHECK(s.box().hi.y == near_to(3));
  CHECK(s.box().lo.y == near_to(-1));
  const Segment back = s.reversed();
  CHECK(back.point(0) == s.b);
  CHECK(distance(back.point(1), s.point(s.length() - 1)) < 1e-12);
  CHECK(s.offset_left(0.5).radius == near_to(1.5));
  CHECK(s.offset_left(-0.5).radius == near_to(2.5));
  CHECK(s.offset_exists(1.9));
  CHECK_FALSE(s.offset_exists(2));
  CHECK(back.offset_exists(100));
}

TEST_CASE("arcs from their ends and from a bulge", "[segment]") {
  const Segment quarter = Segment::arc_between({2, 0}, {0, 2}, {0, 0}, true);
  CHECK(quarter.sweep == near_to(kPi / 2));
  const Segment rest = Segment::arc_between({2, 0}, {0, 2}, {0, 0}, false);
  CHECK(rest.sweep == near_to(-1.5 * kPi));
  const Segment circle = Segment::arc_between({2, 0}, {2, 0}, {0, 0}, false);
  CHECK(circle.sweep == near_to(-2 * kPi));
  CHECK(circle.length() == near_to(4 * kPi));
  // A bulge of 1 is half a turn; tan(pi / 8) a quarter.
  const Segment half = Segment::bulge({0, 0}, {4, 0}, 1);
  CHECK(half.radius == near_to(2));
  CHECK(half.point(kPi).y == near_to(-2));
  const Segment bulged = Segment::bulge({2, 0}, {0, 2}, std::tan(kPi / 8));
  CHECK(length(bulged.centre) < 1e-12);
  CHECK(bulged.radius == near_to(2));
  CHECK_FALSE(Segment::bulge({0, 0}, {1, 0}, 0).is_arc());
}

TEST_CASE("parts of a segment join up", "[segment]") {
  std::mt19937_64 random(1);
  for (int n = 0; n < 200; ++n) {
    const Segment s = any_segment(random);
    const double cut = 0.37 * s.length();
    const Segment first = s.part(0, cut);
    const Segment second = s.part(cut, s.length());
    CHECK(first.a == s.a);
    CHECK(first.b == second.a);
    CHECK(second.b == s.b);
    CHECK(first.length() + second.length() == near_to(s.length()));
    CHECK(distance(second.point(0.1), s.point(cut + 0.1)) < 1e-12);
  }
}

TEST_CASE("the nearest point is nearer than any other", "[segment]") {
  std::mt19937_64 random(2);
  std::uniform_real_distribution<double> place(-8, 8);
  for (int n = 0; n < 2000; ++n) {
    const Segment s = any_segment(random);
    const Vec2 p{place(random), place(random)};
    const double d = s.distance(p);
    REQUIRE(distance(p, s.point(s.nearest(p))) == near_to(d));
    double least = 1e300;
    for (int k = 0; k <= 400; ++k) least = std::min(least, distance(p, s.point(s.length() * k / 400)));
    REQUIRE(d <= least + 1e-12);
    REQUIRE(least - d <= s.length() / 400);
    const Box2 box = s.box().grown(1e-12);
    REQUIRE(box.contains(s.point(s.nearest(p))));
  }
}

TEST_CASE("crossings of lines", "[segment]") {
  const Segment s = Segment::line({0, 0}, {10, 0});
  SECTION("across") {
    const auto c = crossings(s, Segment::line({3, -4}, {3, 4}));
    REQUIRE(c.size() == 1);
    CHECK(c[0].s == near_to(3));
    CHECK(c[0].t == near_to(4));
  }
  SECTION("touching with an end") { CHECK(crossings(s, Segment::line({3, 0}, {3, 4})).size() == 1); }
  SECTION("end to end") { CHECK(crossings(s, Segment::line({10, 0}, {12, 1})).size() == 1); }
  SECTION("short of it") { CHECK(crossings(s, Segment::line({3, 1e-6}, {3, 4})).empty()); }
  SECTION("parallel") { CHECK(crossings(s, Segment::line({0, 1}, {10, 1})).empty()); }
  SECTION("overlapping: the ends of the common part") {
    const auto c = crossings(s, Segment::line({14, 0}, {4, 0}));
    REQUIRE(c.size() == 2);
    CHECK(c[0].s == near_to(4));
    CHECK(c[0].t == near_to(10));
    CHECK(c[1].s == near_to(10));
    CHECK(c[1].t == near_to(4));
  }
  SECTION("collinear apart") { CHECK(crossings(s, Segment::line({11, 0}, {12, 0})).empty()); }
}

TEST_CASE("crossings of lines and arcs", "[segment]") {
  const Segment circle = Segment::arc({0, 0}, 5, 0, 2 * kPi);
  CHECK(crossings(Segment::line({-9, 3}, {9, 3}), circle).size() == 2);
  CHECK(crossings(Segment::line({0, 3}, {9, 3}), circle).size() == 1);
  CHECK(crossings(Segment::line({-9, 5}, {9, 5}), circle).size() == 1);
  CHECK(crossings(Segment::line({-9, 5.001}, {9, 5.001}), circle).empty());
  // Through the circle's own joint: once.
  CHECK(crossings(Segment::line({4, 0}, {9, 0}), circle).size() == 1);
  const Segment upper = Segment::arc({0, 0}, 5, 0, kPi);
  const auto c = crossings(upper, Segment::line({3, -9}, {3, 9}));
  REQUIRE(c.size() == 1);
  CHECK(c[0].s == near_to(5 * std::acos(0.6)));
  CHECK(c[0].t == near_to(13));
}

TEST_CASE("crossings of arcs", "[segment]") {
  const Segment circle = Segment::arc({0, 0}, 5, 0, 2 * kPi);
  CHECK(crossings(circle, Segment::arc({6, 0}, 5, 0, 2 * kPi)).size() == 2);
  CHECK(crossings(circle, Segment::arc({6, 0}, 5, 0, kPi)).size() == 1);
  CHECK(crossings(circle, Segment::arc({8, 0}, 3, 0, 2 * kPi)).size() == 1);   // touching outside
  CHECK(crossings(circle, Segment::arc({0, 2}, 3, 0, 2 * kPi)).size() == 1);   // touching inside
  CHECK(crossings(circle, Segment::arc({0, -2}, 7, 0, 2 * kPi)).size() == 1);  // inside the other
  CHECK(crossings(circle, Segment::arc({0, 1}, 3, 0, 2 * kPi)).empty());
  CHECK(crossings(circle, Segment::arc({0, 0}, 3, 0, 2 * kPi)).empty());
  const auto c = crossings(Segment::arc({0, 0}, 5, 0, kPi), Segment::arc({0, 0}, 5, 0.5 * kPi, kPi));
  REQUIRE(c.size() == 2);  // co-circular: the ends of the common quarter
  CHECK(c[0].s == near_to(2.5 * kPi));
  CHECK(c[1].s == near_to(5 * kPi));
}

TEST_CASE("crossings lie on both segments and none is missed", "[segment]") {
  std::mt19937_64 random(3);
  int met = 0;
  for (int n = 0; n < 3000; ++n) {
    const Segment a = any_segment(random);
    const Segment b = any_segment(random);
    const auto found = crossings(a, b);
    for (const Crossing& c : found) REQUIRE(distance(a.point(c.s), b.point(c.t)) <= 3e-9);
    // Walk along a: the side of b's whole curve changes between samples only at a crossing.
    const auto side = [&](Vec2 p) {
      return b.is_arc() ? distance(p, b.centre) - b.radius : cross(b.b - b.a, p - b.a) / b.length();
    };
    const int steps = 400;
    for (int k = 0; k < steps; ++k) {
      double s0 = a.length() * k / steps;
      double s1 = a.length() * (k + 1) / steps;
      if (side(a.point(s0)) * side(a.point(s1)) >= 0) continue;
      const bool rising = side(a.point(s0)) < 0;
      for (int i = 0; i < 60; ++i) {
        const double middle = 0.5 * (s0 + s1);
        (((side(a.point(middle)) < 0) == rising) ? s0 : s1) = middle;
      }
      if (b.distance(a.point(s0)) > 1e-10) continue;
      ++met;
      REQUIRE(std::any_of(found.begin(), found.end(),
                          [&](const Crossing& c) { return std::abs(c.s - s0) < 1e-6; }));
    }
  }
  CHECK(met > 500);
}
