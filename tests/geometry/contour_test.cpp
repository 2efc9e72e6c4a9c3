#include "sim/geometry/contour.hpp"

#include <catch2/catch.hpp>
#include <limits>
#include <numbers>
#include <random>
#include <stdexcept>

using namespace ovolo;
using Catch::Detail::Approx;
constexpr double kPi = std::numbers::pi;

namespace {

Contour polygon(const std::vector<Vec2>& points, bool closed = true) {
  std::vector<Segment> sides;
  for (std::size_t i = 0; i + 1 < points.size(); ++i)
    sides.push_back(Segment::line(points[i], points[i + 1]));
  if (closed) sides.push_back(Segment::line(points.back(), points.front()));
  return Contour(sides, closed);
}

// A closed wavy outline of n arcs about the origin, radius about 100.
Contour scalloped(int n, double bulge) {
  std::vector<Segment> arcs;
  for (int i = 0; i < n; ++i)
    arcs.push_back(Segment::bulge(100 * unit(2 * kPi * i / n), 100 * unit(2 * kPi * (i + 1) / n), bulge));
  return Contour(arcs, true);
}

}  // namespace

TEST_CASE("rectangle and circle: length, area, box", "[contour]") {
  const Contour sharp = Contour::rectangle({10, 20}, {6, 4}, 0);
  CHECK(sharp.segments().size() == 4);
  CHECK(sharp.length() == Approx(20));
  CHECK(sharp.signed_area() == Approx(24));
  const Contour rounded = Contour::rectangle({10, 20}, {6, 4}, 1);
  CHECK(rounded.segments().size() == 8);
  CHECK(rounded.length() == Approx(12 + 2 * kPi));
  CHECK(rounded.signed_area() == Approx(20 + kPi));
  CHECK(rounded.point(0) == Vec2{8, 18});
  CHECK(rounded.tangent(0) == Vec2{1, 0});
  const Contour slot = Contour::rectangle({0, 0}, {6, 4}, 2);
  CHECK(slot.segments().size() == 6);
  CHECK(slot.length() == Approx(4 + 4 * kPi));
  const Contour circle = Contour::circle({1, 1}, 3);
  CHECK(circle.signed_area() == Approx(9 * kPi));
  CHECK(circle.box().lo.x == Approx(-2));
  CHECK(circle.reversed().signed_area() == Approx(-9 * kPi));
  CHECK(circle.translated({5, 0}).box().hi.x == Approx(9));
  CHECK_THROWS_AS(Contour::rectangle({0, 0}, {4, 2}, 1.1), std::invalid_argument);
  CHECK_THROWS_AS(Contour::circle({0, 0}, 0), std::invalid_argument);
}

TEST_CASE("contours that cannot be are refused", "[contour]") {
  CHECK_THROWS_AS(Contour({}, false), std::invalid_argument);
  CHECK_THROWS_AS(Contour({Segment::line({0, 0}, {0, 0})}, false), std::invalid_argument);
  CHECK_THROWS_AS(Contour({Segment::line({0, 0}, {1, 0}), Segment::line({1, 0.1}, {2, 0})}, false),
                  std::invalid_argument);
  CHECK_THROWS_AS(Contour({Segment::line({0, 0}, {1, 0})}, true), std::invalid_argument);
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_AS(Contour({Segment::line({0, 0}, {1, nan})}, false), std::invalid_argument);
  const Contour mended(
      {Segment::line({0, 0}, {1, 0}), Segment::line({1, 0}, {1, 0}), Segment::line({1 + 1e-8, 0}, {2, 0})},
      false);
  CHECK(mended.segments().size() == 2);
  CHECK(mended.segments()[0].b == mended.segments()[1].a);
}

TEST_CASE("arc length locates segments", "[contour]") {
  const Contour c = polygon({{0, 0}, {4, 0}, {4, 3}}, false);
  double within = 0;
  CHECK(c.locate(-1, within) == 0);
  CHECK(within == 0);
  CHECK(c.locate(4, within) == 1);
  CHECK(within == 0);
  CHECK(c.locate(5, within) == 1);
  CHECK(within == Approx(1));
  CHECK(c.locate(99, within) == 1);
  CHECK(within == Approx(3));
  CHECK(c.start_of(2) == Approx(7));
  CHECK(c.tangent(5) == Vec2{0, 1});
}

TEST_CASE("inside by winding number, arcs exact", "[contour]") {
  const Contour circle = Contour::circle({0, 0}, 5);
  // Between the chord and the arc of a coarse polygon, and level with the topmost and bottommost points.
  CHECK(circle.contains({4.9999, 0}));
  CHECK_FALSE(circle.contains({5.0001, 0}));
  CHECK_FALSE(circle.contains({-6, 5}));
  CHECK_FALSE(circle.contains({-6, -5}));
  CHECK_FALSE(circle.contains({-6, 0}));
  CHECK(circle.contains({-4.9999, 0}));
  CHECK(circle.reversed().contains({0, 4.9999}));

  std::mt19937_64 random(4);
  std::uniform_real_distribution<double> place(-130, 130);
  for (const double bulge : {0.9, -0.9, 3.0}) {
    const Contour wavy = scalloped(12, bulge);
    for (int n = 0; n < 3000; ++n) {
      const Vec2 p{place(random), place(random)};
      // Turning of the direction to a point that runs round: many short steps.
      double turn = 0;
      const int steps = 3000;
      Vec2 from = wavy.point(0) - p;
      for (int k = 1; k <= steps; ++k) {
        const Vec2 to = wavy.point(wavy.length() * k / steps) - p;
        turn += std::atan2(cross(from, to), dot(from, to));
        from = to;
      }
      if (wavy.nearest(p).distance < 1) continue;
      REQUIRE(wavy.contains(p) == (std::abs(turn) > 3));
      if (n > 200 && bulge != 3.0) break;
      if (n > 400) break;
    }
  }
}

TEST_CASE("rays through corners count once", "[contour]") {
  const Contour diamond = polygon({{0, -2}, {2, 0}, {0, 2}, {-2, 0}});
  CHECK(diamond.contains({-1, 0}));
  CHECK_FALSE(diamond.contains({-3, 0}));
  CHECK_FALSE(diamond.contains({-3, 2}));
  CHECK_FALSE(diamond.contains({-3, -2}));
  const Contour stairs = polygon({{0, 0}, {4, 0}, {4, 1}, {2, 1}, {2, 2}, {0, 2}});
  CHECK(stairs.contains({1, 1}));
  CHECK_FALSE(stairs.contains({-1, 1}));
  CHECK_FALSE(stairs.contains({3, 1.5}));
  CHECK_FALSE(stairs.contains({-1, 0}));
}

TEST_CASE("nearest over many segments agrees with looking at each", "[contour]") {
  const Contour wavy = scalloped(10000, 0.5);
  std::mt19937_64 random(5);
  std::uniform_real_distribution<double> place(-150, 150);
  for (int n = 0; n < 100; ++n) {
    const Vec2 p{place(random), place(random)};
    double least = 1e300;
    for (const Segment& s : wavy.segments()) least = std::min(least, s.distance(p));
    const Contour::Nearest found = wavy.nearest(p);
    REQUIRE(found.distance == least);
    REQUIRE(distance(found.point, p) == Approx(least));
    REQUIRE(distance(wavy.point(found.s), found.point) < 1e-9);
  }
}

TEST_CASE("self-crossings are found, joints are not", "[contour]") {
  Vec2 where;
  CHECK_FALSE(self_crossing(Contour::circle({0, 0}, 5), where));
  CHECK_FALSE(self_crossing(Contour::rectangle({0, 0}, {6, 4}, 1), where));
  CHECK_FALSE(self_crossing(scalloped(5000, 0.5), where));
  CHECK_FALSE(self_crossing(
      Contour({Segment::arc({0, 0}, 5, 0, kPi), Segment::arc({0, 0}, 5, kPi, kPi)}, true), where));
  REQUIRE(self_crossing(polygon({{0, 0}, {4, 4}, {4, 0}, {0, 4}}), where));  // a bow tie
  CHECK(where.x == Approx(2));
  CHECK(where.y == Approx(2));
  REQUIRE(self_crossing(polygon({{0, 0}, {4, 0}, {4, 4}, {2, 0}}), where));  // a corner on a side
  CHECK(where.x == Approx(2));
  CHECK(self_crossing(polygon({{0, 0}, {4, 0}, {1, 0}}, false), where));  // back over itself
  CHECK(self_crossing(polygon({{0, 0}, {4, 0}, {4, 4}, {0, 0}, {-4, 0}, {-4, 4}}),
                      where));  // two loops at a point
}
