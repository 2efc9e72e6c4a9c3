#include "sim/geometry/medial.hpp"

#include <catch2/catch.hpp>
#include <numbers>
#include <random>

using namespace ovolo;
using Catch::Detail::Approx;
constexpr double kPi = std::numbers::pi;

namespace {
Approx near_to(double v) { return Approx(v).margin(2e-6).epsilon(0); }
}  // namespace

TEST_CASE("reach inside a rectangle: the corner's bisector or the far side", "[medial]") {
  const Contour sharp = Contour::rectangle({0, 0}, {40, 20}, 0);
  CHECK(medial_reach(sharp, {0, -10}, {0, 1}, 100) == near_to(10));
  CHECK(medial_reach(sharp, {17, -10}, {0, 1}, 100) == near_to(3));
  CHECK(medial_reach(sharp, {19.5, -10}, {0, 1}, 100) == near_to(0.5));
  CHECK(medial_reach(sharp, {20, 0}, {-1, 0}, 100) == near_to(10));
  CHECK(medial_reach(sharp, {0, -10}, {0, 1}, 4) == 4);
  CHECK(medial_reach(sharp, {0, -10}, {0, -1}, 100) == 100);  // outside nothing is near
  CHECK(medial_reach(sharp, {20, -10}, {0, -1}, 100) == 100);
  CHECK(medial_reach(sharp, {20, -10}, {0, 1}, 100) < 1e-5);  // in the corner itself
}

TEST_CASE("reach at rounded corners and on circles is the radius inside", "[medial]") {
  const Contour circle = Contour::circle({3, 4}, 7);
  for (const double angle : {0.0, 0.3, 2.0, 4.5}) {
    CHECK(medial_reach(circle, Vec2{3, 4} + 7 * unit(angle), -unit(angle), 100) == near_to(7));
    CHECK(medial_reach(circle, Vec2{3, 4} + 7 * unit(angle), unit(angle), 100) == 100);
  }
  const Contour rounded = Contour::rectangle({0, 0}, {40, 20}, 5);
  const Vec2 corner{15, -5};
  for (const double angle : {-0.5 * kPi + 1e-9, -1.2, -0.25 * kPi, -0.1})
    CHECK(medial_reach(rounded, corner + 5 * unit(angle), -unit(angle), 100) == near_to(5));
  CHECK(medial_reach(rounded, {15, -10}, {0, 1}, 100) == near_to(5));
  // On the lower side, x from the corner's centre: tangent to the right side's line only above the round.
  CHECK(medial_reach(rounded, {10, -10}, {0, 1}, 100) == near_to(10));
}

TEST_CASE("reach between two walls and in a notch", "[medial]") {
  // Outside the part, inside a slot 4 mm wide: half its width.
  const Contour part(
      {Segment::line({0, 0}, {30, 0}), Segment::line({30, 0}, {30, 20}), Segment::line({30, 20}, {17, 20}),
       Segment::line({17, 20}, {17, 5}), Segment::line({17, 5}, {13, 5}), Segment::line({13, 5}, {13, 20}),
       Segment::line({13, 20}, {0, 20}), Segment::line({0, 20}, {0, 0})},
      true);
  CHECK(medial_reach(part, {17, 12}, {-1, 0}, 100) == near_to(2));
  CHECK(medial_reach(part, {15, 5}, {0, 1}, 100) == near_to(2));
  CHECK(medial_reach(part, {17, 19.5}, {-1, 0}, 100) == near_to(2));
  // In the part, below the slot: up to the slot's floor.
  CHECK(medial_reach(part, {15, 0}, {0, 1}, 100) == near_to(2.5));
  // Left of the slot, its corner at (13, 5) is met: |w|^2 / (2 n w) = (3^2 + 5^2) / (2 * 5).
  CHECK(medial_reach(part, {10, 0}, {0, 1}, 100) == near_to(3.4));
}

TEST_CASE("a joint that is re-entrant by rounding alone does not stop the reach", "[medial]") {
  const Contour bent(
      {Segment::line({0, 0}, {10, 0}), Segment::line({10, 0}, {20, 1e-6}),
       Segment::line({20, 1e-6}, {20, 40}), Segment::line({20, 40}, {0, 40}), Segment::line({0, 40}, {0, 0})},
      true);
  CHECK(medial_reach(bent, {10, 0}, {0, 1}, 5) == 5);
  CHECK(medial_reach(bent, {10 - 1e-7, 0}, {0, 1}, 5) == 5);
}

TEST_CASE("reach agrees with stepping along the normal", "[medial]") {
  std::mt19937_64 random(6);
  std::uniform_real_distribution<double> part(0, 1);
  for (int n = 0; n < 100; ++n) {
    // A star of lines and arcs.
    std::vector<Vec2> points;
    const int corners = 5 + static_cast<int>(random() % 8);
    for (int i = 0; i < corners; ++i)
      points.push_back((10 + 10 * part(random)) * unit(2 * kPi * i / corners));
    std::vector<Segment> sides;
    for (std::size_t i = 0; i < points.size(); ++i)
      sides.push_back(Segment::bulge(points[i], points[(i + 1) % points.size()],
                                     random() % 2 == 0 ? 0 : 0.4 * (part(random) - 0.5)));
    const Contour c(sides, true);
    for (int k = 0; k < 20; ++k) {
      const double s = c.length() * part(random);
      const Vec2 p = c.point(s);
      const Vec2 normal = (k % 2 == 0 ? 1.0 : -1.0) * perp(c.tangent(s));
      const double reach = medial_reach(c, p, normal, 30);
      for (const double u : {0.25 * reach, 0.5 * reach, 0.999 * reach})
        REQUIRE(c.nearest(p + u * normal).distance >= u - 1.01e-6);
      if (reach < 30) REQUIRE(c.nearest(p + (reach + 1e-3) * normal).distance < reach + 1e-3 - 1e-6);
    }
  }
}
