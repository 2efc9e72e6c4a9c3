#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "render/close_up.hpp"
#include "render/solid.hpp"
#include "sim/solid/part_distance.hpp"
#include "tests/render/samples.hpp"

using namespace ovolo;
using namespace ovolo::render;

namespace {

/// A block of the sample edge: the frame turned by `turn` against the sheet, so that cells need not line up.
struct Block {
  samples::Cut cut{5, 3.62, 5, 0.05};
  Contour contour;
  EdgeFrame frame;
  Heightfield field;
  Solid solid;

  Block(const Contour& c, double s, double cell)
      : contour(c),
        frame{c.point(s), perp(c.tangent(s))},
        field(samples::field(cut, c, window_on_sheet().grown(0.2), cell, 13.7)),
        solid(field, frame, {{-4, 0}, {8, 6}}, -12.7,
              [this](Vec2 p) { return part_distance(contour, Keep::inside, p); }) {}

  Box2 window_on_sheet() const {
    Box2 box;
    for (const Vec2 p : {Vec2{-4, 0}, Vec2{8, 0}, Vec2{8, 6}, Vec2{-4, 6}}) box.add(frame.to_sheet(p));
    return box;
  }
};

/// Small steps along the ray until it is in the material.
double marched(const Solid& solid, const Ray& ray, double step) {
  for (double t = 0; t < 60; t += step) {
    const Vec3 p = ray.at(t);
    if (p.x < -4 || p.x > 8 || p.y < 0 || p.y > 6 || p.z < -12.7) continue;
    if (solid.wall_distance({p.x, p.y}) > 0 && p.z <= solid.height({p.x, p.y})) return t;
  }
  return -1;
}

}  // namespace

TEST_CASE("rays meet faces, walls and the moulded surface where they are", "[render]") {
  const Block block(Contour::rectangle({50, 40}, {80, 60}, 0), 30, 0.02);
  // Straight down onto the face and onto the round.
  for (const double u : {0.02, 0.1, 0.5, 1.0, 2.5, 4.5, 6.0}) {
    const Solid::Hit hit = block.solid.hit({{u, 3, 10}, {0, 0, -1}});
    INFO("u " << u);
    CHECK(hit.face == Solid::Face::top);
    CHECK(10 - hit.t == Approx(block.cut.height(u)).margin(0.02));
  }
  // Level, from outside: the wall below the foot, at u = 0.
  const Solid::Hit wall = block.solid.hit({{-3, 3, -8}, {1, 0, 0}});
  CHECK(wall.face == Solid::Face::wall);
  CHECK(wall.t == Approx(3).margin(1e-3));
  CHECK(wall.normal.x == Approx(-1).margin(1e-3));
  // From the viewer: the cut face at y = 0.
  const Solid::Hit cut = block.solid.hit({{2, -5, -6}, {0, 1, 0}});
  CHECK(cut.face == Solid::Face::cut);
  CHECK(cut.t == Approx(5));
  CHECK(cut.normal.y == -1);
  // Above the face, beside the part, away from it: nothing.
  CHECK(block.solid.hit({{2, -5, 0.1}, {0, 1, 0}}).face == Solid::Face::none);
  CHECK(block.solid.hit({{-0.05, 3, 10}, {0, 0, -1}}).face == Solid::Face::none);
  CHECK(block.solid.hit({{2, 3, 10}, {0, 0, 1}}).face == Solid::Face::none);
  CHECK_FALSE(block.solid.blocked({{2, 3, 0.01}, {0, 0, 1}}));
  CHECK(block.solid.blocked({{-1, 3, -8}, {1, 0, 0}}));
}

TEST_CASE("the surface up to the wall is not pulled down by what is cut off beyond it", "[render]") {
  // On a straight edge along the cells, one turned against them, and a round corner.
  const double diagonal = 60 * std::sqrt(2.0);
  const Contour diamond({Segment::line({60, 0}, {120, 60}), Segment::line({120, 60}, {60, 120}),
                         Segment::line({60, 120}, {0, 60}), Segment::line({0, 60}, {60, 0})},
                        true);
  const Block blocks[] = {{Contour::rectangle({50, 40}, {80, 60}, 0), 30, 0.02},
                          {diamond, diagonal / 2, 0.02},
                          {Contour::circle({30, 30}, 25), 11, 0.02}};
  for (const Block& block : blocks) {
    for (const double u : {0.0, 0.004, 0.011, 0.03, 0.08}) {
      CHECK(block.solid.height({u, 3 * 0.0}) == Approx(block.cut.height(u)).margin(0.05));
    }
  }
}

TEST_CASE("rays agree with small steps along them", "[render]") {
  const Block blocks[] = {{Contour::rectangle({50, 40}, {80, 60}, 0), 30, 0.05},
                          {Contour::circle({30, 30}, 12), 7, 0.05}};
  std::mt19937 random(11);
  std::uniform_real_distribution<double> unit(0, 1);
  for (const Block& block : blocks) {
    int hits = 0;
    for (int k = 0; k < 400; ++k) {
      const Vec3 from{-10 + 20 * unit(random), -10 * unit(random), 8 * unit(random) - 2};
      const Vec3 to{-2 + 9 * unit(random), 5 * unit(random), -10 * unit(random)};
      const Ray ray{from, normalized(to - from)};
      const double expected = marched(block.solid, ray, 0.004);
      const Solid::Hit hit = block.solid.hit(ray);
      if (hit.face == Solid::Face::bottom) continue;
      INFO("ray " << k << " from " << from.x << " " << from.y << " " << from.z);
      if (expected < 0) {
        // A ray that only grazes an edge may slip between the steps.
        const bool grazes = hit.face != Solid::Face::none && marched(block.solid, ray, 0.0002) < 0;
        CHECK((hit.face == Solid::Face::none || !grazes || hit.t > 0));
        continue;
      }
      ++hits;
      REQUIRE(hit.face != Solid::Face::none);
      CHECK(hit.t == Approx(expected).margin(0.03));
    }
    CHECK(hits > 200);
  }
}

TEST_CASE("fields and windows that cannot be seen are refused", "[render]") {
  const EdgeFrame frame{{0, 0}, {1, 0}};
  const auto inside = [](Vec2) { return 1.0; };
  CHECK_THROWS_AS(Solid(Heightfield(), frame, {{0, 0}, {1, 1}}, -1, inside), std::invalid_argument);
  const Heightfield field({0, 0}, 0.1, 100, 100);
  CHECK_THROWS_AS(Solid(field, frame, Box2{}, -1, inside), std::invalid_argument);
  CHECK_THROWS_AS(Solid(field, frame, {{0, 0}, {1e9, 1}}, -1, inside), std::invalid_argument);
}

TEST_CASE("distance to the wall is positive in the part", "[render]") {
  const Contour circle = Contour::circle({0, 0}, 10);
  CHECK(part_distance(circle, Keep::inside, {7, 0}) == Approx(3));
  CHECK(part_distance(circle, Keep::inside, {12, 0}) == Approx(-2));
  CHECK(part_distance(circle, Keep::outside, {12, 0}) == Approx(2));
  const Contour line({Segment::line({0, 0}, {10, 0})}, false);
  CHECK(part_distance(line, Keep::left, {5, 2}) == Approx(2));
  CHECK(part_distance(line, Keep::right, {5, 2}) == Approx(-2));
}
