#include "sim/geometry/offset.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <numbers>
#include <random>

#include "tests/support/random_contour.hpp"

using namespace ovolo;
using Catch::Detail::Approx;
using ovolo::test::random_contour;
constexpr double kPi = std::numbers::pi;

namespace {

Approx near_to(double v) { return Approx(v).margin(1e-9).epsilon(0); }

Contour polygon(const std::vector<Vec2>& points, bool closed = true) {
  std::vector<Segment> sides;
  for (std::size_t i = 0; i + 1 < points.size(); ++i)
    sides.push_back(Segment::line(points[i], points[i + 1]));
  if (closed) sides.push_back(Segment::line(points.back(), points.front()));
  return Contour(sides, closed);
}

// Two squares of side 20 joined by a neck `neck` wide and 20 long.
Contour dumbbell(double neck) {
  const double h = 0.5 * neck;
  return polygon({{-30, -10},
                  {-10, -10},
                  {-10, -h},
                  {10, -h},
                  {10, -10},
                  {30, -10},
                  {30, 10},
                  {10, 10},
                  {10, h},
                  {-10, h},
                  {-10, 10},
                  {-30, 10}});
}

// The outer outline, counter-clockwise, of a clump of unit squares grown one by one from the middle of a 10 x
// 10 grid; squares that would touch the clump at a corner only are not added.
Contour grid_outline(std::mt19937_64& random) {
  constexpr int kSide = 10;
  bool full[kSide + 2][kSide + 2] = {};
  full[5][5] = true;
  for (int tries = 0; tries < 400; ++tries) {
    const int x = 1 + static_cast<int>(random() % kSide);
    const int y = 1 + static_cast<int>(random() % kSide);
    // Walking round the square's eight neighbours, the clump must be met as one run that holds a side.
    const int ring[8][2] = {{1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}, {0, -1}, {1, -1}};
    int starts = 0;
    bool side = false;
    for (int k = 0; k < 8; ++k) {
      const bool here = full[x + ring[k][0]][y + ring[k][1]];
      const bool before = full[x + ring[(k + 7) % 8][0]][y + ring[(k + 7) % 8][1]];
      if (here && !before) ++starts;
      if (here && k % 2 == 0) side = true;
    }
    if (starts == 1 && side && random() % 3 != 0) full[x][y] = true;
  }
  // Follow the outline with the clump on the left from the lowest left corner of a lowest square.
  int x = 1, y = 1;
  while (!full[x][y]) {
    y += x / kSide;
    x = x % kSide + 1;
  }
  std::vector<Vec2> points;
  const int x0 = x, y0 = y;
  int dx = 1, dy = 0;
  do {
    points.push_back({static_cast<double>(x), static_cast<double>(y)});
    // Squares ahead to the left and to the right; square (i, j) covers [i, i + 1] x [j, j + 1].
    const auto square = [&](int side) {
      const double cx = x + 0.5 * dx - 0.5 * side * dy;
      const double cy = y + 0.5 * dy + 0.5 * side * dx;
      return full[static_cast<int>(std::floor(cx))][static_cast<int>(std::floor(cy))];
    };
    if (square(-1)) {
      const int t = dx;
      dx = dy, dy = -t;
    } else if (!square(1)) {
      const int t = dx;
      dx = -dy, dy = t;
    }
    x += dx, y += dy;
  } while (x != x0 || y != y0);
  return polygon(points);
}

double nearest_of(const std::vector<Contour>& loops, Vec2 p) {
  double least = 1e300;
  for (const Contour& c : loops) least = std::min(least, c.nearest(p).distance);
  return least;
}

// Winding of loops that do not cross: outer ones add, those round a hole take away.
int loops_round(const std::vector<Contour>& loops, Vec2 p) {
  int sum = 0;
  for (const Contour& c : loops)
    if (c.contains(p)) sum += c.signed_area() > 0 ? 1 : -1;
  return sum;
}

}  // namespace

TEST_CASE("a convex contour grown by r: area A + P r + pi r^2, length P + 2 pi r", "[offset]") {
  // Steiner's formula (derived).
  for (const Contour& c :
       {polygon({{0, 0}, {30, 0}, {40, 25}, {10, 30}}), Contour::rectangle({5, 5}, {40, 20}, 0),
        Contour::rectangle({5, 5}, {40, 20}, 6), Contour::circle({1, 2}, 9)}) {
    for (const double r : {0.001, 0.5, 3.0, 50.0}) {
      for (const Contour& source : {c, c.reversed()}) {
        const auto grown = offset_outward(source, r);
        REQUIRE(grown.size() == 1);
        CHECK(grown[0].closed());
        CHECK(std::abs(grown[0].signed_area()) ==
              Approx(c.signed_area() + c.length() * r + kPi * r * r).epsilon(1e-12));
        CHECK(grown[0].length() == Approx(c.length() + 2 * kPi * r).epsilon(1e-12));
        CHECK((grown[0].signed_area() > 0) == (source.signed_area() > 0));
      }
    }
  }
}

TEST_CASE("inwards: rectangles shrink, corners stay sharp, arcs vanish", "[offset]") {
  const auto sharp = offset_outward(Contour::rectangle({0, 0}, {40, 20}, 0), -3);
  REQUIRE(sharp.size() == 1);
  CHECK(sharp[0].segments().size() == 4);
  CHECK(sharp[0].signed_area() == near_to(34 * 14));
  CHECK(sharp[0].box().lo.x == near_to(-17));
  const Contour rounded = Contour::rectangle({0, 0}, {40, 20}, 4);
  CHECK(offset_outward(rounded, -3)[0].signed_area() == near_to(34 * 14 - (4 - kPi)));
  CHECK(offset_outward(rounded, -4)[0].segments().size() == 4);
  CHECK(offset_outward(rounded, -4)[0].signed_area() == near_to(32 * 12));
  CHECK(offset_outward(rounded, -7)[0].signed_area() == near_to(26 * 6));
  CHECK(offset_outward(rounded, -10.001).empty());
  CHECK(offset_outward(Contour::circle({0, 0}, 5), -5.1).empty());
  CHECK(offset_outward(Contour::circle({0, 0}, 5), -5).empty());
  CHECK(offset_outward(Contour::circle({0, 0}, 5), -4.5)[0].length() == near_to(kPi));
  CHECK(offset_outward(rounded, 0)[0].length() == rounded.length());
}

TEST_CASE("mitred corners run out to their tips, very sharp ones are rounded", "[offset]") {
  const OffsetOptions mitre{Join::mitre};
  const auto square = offset_outward(Contour::rectangle({0, 0}, {40, 20}, 0), 3, mitre);
  REQUIRE(square.size() == 1);
  CHECK(square[0].signed_area() == near_to(46 * 26));
  CHECK(square[0].length() == near_to(2 * (46 + 26)));
  // A corner of 20 degrees has its tip at 5.76 offsets: beyond the limit of 4; the other two are mitred.
  const double a = kPi / 9;
  const Contour wedge = polygon({{0, 0}, {40, 0}, 40 * unit(a)});
  const auto grown = offset_outward(wedge, 1, mitre);
  REQUIRE(grown.size() == 1);
  const double other = 0.5 * (kPi - a);
  // Each mitre adds cot(half the corner) r^2, the round half (pi - a) r^2.
  CHECK(grown[0].signed_area() ==
        near_to(wedge.signed_area() + wedge.length() + 2 / std::tan(0.5 * other) + 0.5 * (kPi - a)));
  // Between arcs the mitre follows the tangents.
  const Contour lens({Segment::bulge({-10, 0}, {10, 0}, 0.4), Segment::bulge({10, 0}, {-10, 0}, 0.4)}, true);
  const auto lens_grown = offset_outward(lens, 1, mitre);
  REQUIRE(lens_grown.size() == 1);
  CHECK(lens_grown[0].box().hi.x == near_to(10 + 1 / std::sin(2 * std::atan(0.4))));
}

TEST_CASE("a mitre does not cut into another part's parallel", "[offset]") {
  // The tip at (0, 0) points at a wall 3 away; with an offset of 2 its mitre would reach beyond the wall's
  // parallel.
  const Contour c =
      polygon({{3, -20}, {6, -20}, {6, 20}, {-30, 20}, {-30, -20}, {-20, -20}, {0, 0}, {-20, 16}, {3, 16}});
  const auto grown = offset_outward(c, 1.4, {Join::mitre});
  REQUIRE(grown.size() >= 1);
  for (const Contour& loop : grown) {
    Vec2 where;
    CHECK_FALSE(self_crossing(loop, where));
    for (double s = 0; s < loop.length(); s += 0.01) CHECK(c.nearest(loop.point(s)).distance >= 1.4 - 1e-9);
  }
}

TEST_CASE("a re-entrant corner of angle a is left with r^2 (cot(a/2) - (pi - a)/2)", "[offset]") {
  // What a cutter of radius r cannot reach: in by r, then out by r again (derived).
  const double r = 2;
  for (const double a : {kPi / 3, kPi / 2, 2.0}) {
    const Contour wedge = polygon({{0, 0}, {60, 0}, 60 * unit(a)});
    const auto in = offset_outward(wedge, -r);
    REQUIRE(in.size() == 1);
    const auto out = offset_outward(in[0], r);
    REQUIRE(out.size() == 1);
    const double b = 0.5 * (kPi - a);
    const auto left = [r](double angle) { return r * r * (1 / std::tan(0.5 * angle) - 0.5 * (kPi - angle)); };
    CHECK(wedge.signed_area() - out[0].signed_area() == near_to(left(a) + 2 * left(b)));
  }
}

TEST_CASE("a dumbbell falls apart when its neck is too narrow", "[offset]") {
  CHECK(offset_outward(dumbbell(5), -2.4).size() == 1);
  const auto halves = offset_outward(dumbbell(5), -2.6);
  REQUIRE(halves.size() == 2);
  // Each a square of 20 - 5.2 whose neck side bulges out to where the corners' rounds meet the axis.
  for (const Contour& half : halves) {
    CHECK(half.signed_area() > 0);
    CHECK(half.length() > 4 * 14.8);
    for (double s = 0; s < half.length(); s += 0.1)
      CHECK(dumbbell(5).nearest(half.point(s)).distance == near_to(2.6));
  }
  CHECK(offset_outward(dumbbell(5), -10.1).empty());
  // A neck exactly as wide as the cutter is still passed, there and back: each square keeps three sides of
  // 15, two ends of 5 and two quarter rounds.
  double length = 0;
  for (const Contour& c : offset_outward(dumbbell(5), -2.5)) length += c.length();
  CHECK(length == near_to(2 * (3 * 15 + 2 * 5 + 2.5 * kPi) + 2 * 20));
}

TEST_CASE("a gap that closes leaves a loop inside", "[offset]") {
  // A C whose mouth is 2 wide: grown by 1.5 it closes, and a hole stays in its middle.
  const Contour c = polygon({{-10, -10},
                             {10, -10},
                             {10, -1},
                             {7, -1},
                             {7, -7},
                             {-7, -7},
                             {-7, 7},
                             {7, 7},
                             {7, 1},
                             {10, 1},
                             {10, 10},
                             {-10, 10}});
  const auto grown = offset_outward(c, 1.5);
  REQUIRE(grown.size() == 2);
  CHECK(grown[0].signed_area() * grown[1].signed_area() < 0);
  CHECK(offset_outward(c, 0.9).size() == 1);
}

TEST_CASE("open contours keep to their side", "[offset]") {
  const Contour bend = polygon({{0, 0}, {10, 0}, {10, 10}}, false);
  const auto left = offset_left(bend, 2);
  REQUIRE(left.size() == 1);
  CHECK_FALSE(left[0].closed());
  CHECK(left[0].point(0).y == near_to(2));
  CHECK(left[0].point(0).x == near_to(0));
  CHECK(left[0].length() == near_to(16));
  CHECK(left[0].point(100).x == near_to(8));
  CHECK(left[0].point(100).y == near_to(10));
  const auto right = offset_left(bend, -2);
  REQUIRE(right.size() == 1);
  CHECK(right[0].length() == near_to(20 + kPi));
  CHECK(right[0].point(0).y == near_to(-2));
  CHECK(offset_left(bend, -2, {Join::mitre})[0].length() == near_to(24));
  // The arm of 10 disappears behind the side of an open box 6 wide.
  const Contour box = polygon({{0, 10}, {0, 0}, {6, 0}, {6, 10}}, false);
  CHECK(offset_left(box, 2)[0].length() == near_to(8 + 2 + 8));
  CHECK(offset_left(box, 3.5).empty());
  // Two arms, the second ending beside the first: the way is interrupted where the end is too near.
  const Contour hook = polygon({{0, 0}, {30, 0}, {30, 10}, {15, 10}, {15, 3}}, false);
  const auto parts = offset_left(hook, 2);
  REQUIRE(parts.size() == 2);
  for (const Contour& part : parts) {
    CHECK_FALSE(part.closed());
    for (double s = 0; s <= part.length(); s += 0.05)
      CHECK(hook.nearest(part.point(s)).distance == near_to(2));
  }
  CHECK(parts[0].point(0).x == near_to(0));
}

TEST_CASE("parallels of random contours: at the distance, none nearer, all of them", "[offset]") {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> part(0, 1);
  std::uniform_real_distribution<double> place(-30, 30);
  int tried = 0, parallels = 0;
  while (tried < 1500) {
    const auto source = random_contour(random, 4 + static_cast<int>(random() % 12));
    if (!source) continue;
    ++tried;
    const double d = (random() % 2 == 0 ? 1 : -1) * std::pow(10.0, -2 + 3 * part(random));
    const bool inside_left = source->signed_area() > 0;
    const auto loops = offset_left(*source, d);
    for (const Contour& loop : loops) {
      ++parallels;
      REQUIRE(loop.closed());
      for (int k = 0; k < 60; ++k) {
        const Vec2 p = loop.point(loop.length() * part(random));
        REQUIRE(source->nearest(p).distance == near_to(std::abs(d)));
        REQUIRE(source->contains(p) == (inside_left == (d > 0)));
      }
      for (std::size_t i = 0; i < loop.segments().size(); ++i)
        REQUIRE(source->nearest(loop.segments()[i].a).distance == near_to(std::abs(d)));
    }
    // Every point at the distance that has its nearest point on the contour is on a loop.
    for (int k = 0; k < 40; ++k) {
      const double s = source->length() * part(random);
      const Vec2 p = source->point(s) + d * perp(source->tangent(s));
      if (source->nearest(p).distance < std::abs(d) - 1e-9) continue;
      REQUIRE(nearest_of(loops, p) < 1e-6);
    }
    // A point is within the loops where it is on the right side and farther away than d.
    for (int k = 0; k < 40; ++k) {
      const Vec2 p{place(random), place(random)};
      const double away = source->nearest(p).distance;
      if (std::abs(away - std::abs(d)) < 1e-6) continue;
      const bool side = source->contains(p) == (inside_left == (d > 0));
      const bool clear = side && away > std::abs(d);
      // Round what is cleared the loops run like the contour for its inside, the other way about for its
      // outside.
      const int round = loops_round(loops, p);
      const int outer =
          inside_left == (d > 0) ? (inside_left ? round : -round) : (inside_left ? 1 - round : 1 + round);
      REQUIRE(outer == (clear ? 1 : 0));
    }
  }
  CHECK(parallels > 1000);
}

TEST_CASE("parallels of random open contours: at the distance, on their side, all of them", "[offset]") {
  std::mt19937_64 random(13);
  std::uniform_real_distribution<double> part(0, 1);
  int tried = 0, parallels = 0;
  while (tried < 600) {
    const auto whole = random_contour(random, 5 + static_cast<int>(random() % 12));
    if (!whole) continue;
    ++tried;
    std::vector<Segment> sides = whole->segments();
    sides.resize(sides.size() - 1 - random() % 3);
    const Contour source(sides, false);
    const double d = (random() % 2 == 0 ? 1 : -1) * std::pow(10.0, -2 + 2.5 * part(random));
    double before = 0;
    const auto pieces = offset_left(source, d);
    for (const Contour& piece : pieces) {
      ++parallels;
      for (int k = 0; k < 40; ++k) {
        const Vec2 p = piece.point(piece.length() * part(random));
        const Contour::Nearest n = source.nearest(p);
        REQUIRE(n.distance == near_to(std::abs(d)));
      }
      // Away from corners the side is that of the nearest segment.
      const Vec2 p = piece.point(0.5 * piece.length());
      const Contour::Nearest n = source.nearest(p);
      const double within = n.s - source.start_of(n.segment);
      if (within > 1e-6 && within < source.segments()[n.segment].length() - 1e-6)
        REQUIRE(cross(source.tangent(n.s), p - n.point) * d > 0);
      if (!piece.closed()) {
        const double begins = source.nearest(piece.point(0)).s;
        REQUIRE(begins >= before - 1e-6);
        before = begins;
      }
    }
    for (int k = 0; k < 40; ++k) {
      const double s = source.length() * part(random);
      const Vec2 p = source.point(s) + d * perp(source.tangent(s));
      if (source.nearest(p).distance < std::abs(d) - 1e-9) continue;
      REQUIRE(nearest_of(pieces, p) < 1e-6);
    }
  }
  CHECK(parallels > 500);
}

TEST_CASE("parallels on a grid, where pieces coincide", "[offset]") {
  // Outlines of random unions of unit squares, offset by halves: pieces run over one another and through one
  // point.
  std::mt19937_64 random(9);
  std::uniform_real_distribution<double> place(-2, 12);
  int loops_seen = 0;
  for (int n = 0; n < 400; ++n) {
    const Contour source = grid_outline(random);
    const double d = 0.5 * static_cast<double>(1 + random() % 4) * (random() % 2 == 0 ? 1 : -1);
    const auto loops = offset_left(source, d);
    for (const Contour& loop : loops) {
      ++loops_seen;
      for (double s = 0; s < loop.length(); s += 0.097)
        REQUIRE(source.nearest(loop.point(s)).distance == near_to(std::abs(d)));
    }
    for (int k = 0; k < 100; ++k) {
      const Vec2 p{place(random), place(random)};
      const double away = source.nearest(p).distance;
      if (std::abs(away - std::abs(d)) < 1e-6) continue;
      const bool clear = source.contains(p) == (d > 0) && away > std::abs(d);
      REQUIRE((d > 0 ? loops_round(loops, p) : 1 - loops_round(loops, p)) == (clear ? 1 : 0));
    }
  }
  CHECK(loops_seen > 300);
}

TEST_CASE("mitred parallels of random contours hold their distance and do not cross", "[offset]") {
  std::mt19937_64 random(8);
  std::uniform_real_distribution<double> part(0, 1);
  int tried = 0;
  while (tried < 500) {
    const auto source = random_contour(random, 4 + static_cast<int>(random() % 12));
    if (!source) continue;
    ++tried;
    const double d = (random() % 2 == 0 ? 1 : -1) * std::pow(10.0, -2 + 2.5 * part(random));
    const auto round = offset_left(*source, d);
    const auto mitred = offset_left(*source, d, {Join::mitre});
    double round_area = 0, mitred_area = 0;
    for (const Contour& loop : round) round_area += loop.signed_area();
    for (const Contour& loop : mitred) {
      mitred_area += loop.signed_area();
      for (int k = 0; k < 60; ++k) {
        const double away = source->nearest(loop.point(loop.length() * part(random))).distance;
        REQUIRE(away >= std::abs(d) - 1e-9);
        REQUIRE(away <= 4 * std::abs(d) + 1e-9);
      }
    }
    // Mitres only take from what is farther away: to the left that shrinks the area that lies to the left.
    if (d > 0) {
      REQUIRE(mitred_area <= round_area + 1e-9);
    } else {
      REQUIRE(mitred_area >= round_area - 1e-9);
    }
  }
}

TEST_CASE("a contour of 10,000 pieces", "[offset]") {
  std::vector<Segment> sides;
  const int n = 10000;
  for (int i = 0; i < n; ++i) {
    const auto at = [&](int k) {
      return (100 + 3 * std::sin(40 * 2 * kPi * k / n)) * unit(2 * kPi * (k % n) / n);
    };
    sides.push_back(Segment::line(at(i), i + 1 == n ? at(0) : at(i + 1)));
  }
  const Contour wavy(sides, true);
  for (const double d : {5.0, -5.0}) {
    const auto loops = offset_outward(wavy, d);
    REQUIRE(loops.size() == 1);
    for (double s = 0; s < loops[0].length(); s += 1.234)
      CHECK(wavy.nearest(loops[0].point(s)).distance == near_to(5));
  }
}

TEST_CASE("arcs that are all but straight", "[offset]") {
  for (int k = 0; k <= 15; ++k) {
    const double bulge = std::pow(10.0, -k);
    const Contour c({Segment::bulge({0, 0}, {40, 0}, bulge), Segment::bulge({40, 0}, {40, 30}, -bulge),
                     Segment::bulge({40, 30}, {0, 30}, bulge), Segment::bulge({0, 30}, {0, 0}, -bulge)},
                    true);
    for (const double d : {0.02, -0.02, 1.0, -1.0, 5.0, -5.0}) {
      if (k == 0 && d < -0.02) continue;  // half turns: falls apart
      const auto loops = offset_outward(c, d);
      REQUIRE(loops.size() == 1);
      for (double s = 0; s < loops[0].length(); s += 0.731)
        CHECK(c.nearest(loops[0].point(s)).distance == near_to(std::abs(d)));
    }
  }
}

TEST_CASE("arcs that all but vanish, and offsets of offsets", "[offset]") {
  for (int k = 1; k <= 12; ++k) {
    for (const double side : {-1.0, 1.0}) {
      const double d = 4 + side * std::pow(10.0, -k);
      const auto in = offset_outward(Contour::rectangle({0, 0}, {40, 20}, 4), -d);
      REQUIRE(in.size() == 1);
      const double r = std::max(0.0, 4 - d);
      CHECK(in[0].signed_area() ==
            Approx((40 - 2 * d) * (20 - 2 * d) - (4 - kPi) * r * r).margin(1e-8).epsilon(0));
    }
  }
  std::mt19937_64 random(10);
  int tried = 0;
  while (tried < 200) {
    const auto source = random_contour(random, 4 + static_cast<int>(random() % 12));
    if (!source) continue;
    ++tried;
    // Out and in again by the same amount: the rounds vanish, what the growth filled stays. Once more changes
    // nothing.
    for (const Contour& grown : offset_outward(*source, 1)) {
      if ((grown.signed_area() > 0) != (source->signed_area() > 0)) continue;
      const auto closed = offset_outward(grown, -1);
      REQUIRE(closed.size() == 1);
      const auto grown_again = offset_outward(closed[0], 1);
      REQUIRE(grown_again.size() == 1);
      CHECK(grown_again[0].signed_area() == Approx(grown.signed_area()).margin(1e-6));
      CHECK(std::abs(closed[0].signed_area()) >= std::abs(source->signed_area()) - 1e-6);
    }
  }
}
