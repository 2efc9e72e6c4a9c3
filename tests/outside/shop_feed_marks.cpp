#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

#include "sim/shop/feed_marks.hpp"

using namespace ovolo;

namespace {

MarkSettings even(double advance_per_tooth, int flutes) {
  MarkSettings s;
  s.spindle = 18000;
  s.flutes = flutes;
  s.feed = advance_per_tooth * flutes * s.spindle;
  s.runout = 0;
  return s;
}

/// R - sqrt(R^2 - f^2/4) (derived).
double crest_height(double radius, double advance) {
  return radius - std::sqrt(radius * radius - advance * advance / 4);
}

}  // namespace

TEST_CASE("crests of circles against the parabola", "[shop][outside]") {
  // Source: derived. The parabola f^2/(8R) is 0.07 % low at f 0.5, R 4.7625 and 4.2 % low at f 2, R 2.5.
  const auto low = [](double f, double radius) {
    const double rt = feed_marks(radius, even(f, 1))->rt;
    CHECK(rt == Approx(crest_height(radius, f)).epsilon(1e-9));
    return 1 - f * f / (8 * radius) / rt;
  };
  CHECK(low(0.5, 4.7625) == Approx(0.0007).margin(0.00005));
  CHECK(low(2, 2.5) == Approx(0.042).margin(0.0005));
}

TEST_CASE("a turning cutter's trochoid", "[shop][outside]") {
  // Source: Martellotti's trochoid, from memory: f^2/(8 (R +- f N / pi)), f per tooth, + against the feed, -
  // with it. It is a parabola's height, so it holds for f well below R.
  for (const int flutes : {1, 2, 4}) {
    const double f = 0.05, radius = 3;
    MarkSettings s = even(f, flutes);
    s.direction = Direction::conventional;
    CHECK(feed_marks(radius, s)->rt ==
          Approx(f * f / (8 * (radius + f * flutes / std::numbers::pi))).epsilon(2e-3));
    s.direction = Direction::climb;
    CHECK(feed_marks(radius, s)->rt ==
          Approx(f * f / (8 * (radius - f * flutes / std::numbers::pi))).epsilon(2e-3));
  }
}

TEST_CASE("roughness of parabolic marks", "[shop][outside]") {
  // Source: Ra and Rq by their definitions (ISO 4287, ISO 21920-2) of a parabola: 4/(9 sqrt 3) and 2/(3 sqrt
  // 5) of Rt.
  const auto marks = feed_marks(5, even(0.05, 2));
  REQUIRE(marks);
  CHECK(marks->ra / marks->rt == Approx(4 / (9 * std::sqrt(3.0))).epsilon(2e-4));
  CHECK(marks->rq / marks->rt == Approx(2 / (3 * std::sqrt(5.0))).epsilon(2e-4));
}

TEST_CASE("roughness by its definitions, of surfaces whose values are known", "[shop][outside]") {
  // Source: ISO 4287 / ISO 21920-2: Ra is the mean distance from the mean line, Rq the root of the mean square.
  // As parts of Rt: parabola 4/(9 sqrt 3) and 2/(3 sqrt 5); sawtooth 1/4 and 1/(2 sqrt 3); sine 1/pi and 1/(2
  // sqrt 2).
  struct Roughness {
    double ra = 0, rq = 0;
  };
  constexpr int kPlaces = 20000;
  const auto roughness = [](const auto& height) {
    double mean = 0;
    for (int i = 0; i < kPlaces; ++i) mean += height(i) / kPlaces;
    Roughness r;
    for (int i = 0; i < kPlaces; ++i) {
      r.ra += std::fabs(height(i) - mean) / kPlaces;
      r.rq += (height(i) - mean) * (height(i) - mean) / kPlaces;
    }
    r.rq = std::sqrt(r.rq);
    return r;
  };
  const auto part = [](int i) { return (i + 0.5) / kPlaces; };
  const Roughness parabola = roughness([&](int i) { return 4 * (part(i) - 0.5) * (part(i) - 0.5); });
  CHECK(parabola.ra == Approx(4 / (9 * std::sqrt(3.0))).epsilon(1e-4));
  CHECK(parabola.rq == Approx(2 / (3 * std::sqrt(5.0))).epsilon(1e-4));
  const Roughness saw = roughness([&](int i) { return part(i); });
  CHECK(saw.ra == Approx(0.25).epsilon(1e-4));
  CHECK(saw.rq == Approx(1 / (2 * std::sqrt(3.0))).epsilon(1e-4));
  const Roughness sine = roughness([&](int i) { return 0.5 * std::sin(2 * std::numbers::pi * part(i)); });
  CHECK(sine.ra == Approx(1 / std::numbers::pi).epsilon(1e-4));
  CHECK(sine.rq == Approx(1 / (2 * std::sqrt(2.0))).epsilon(1e-4));
  // The same of the marked surface itself: two whole marks.
  const MarkSettings s = even(0.1, 2);
  const auto marks = feed_marks(4, s);
  REQUIRE(marks);
  const std::vector<double> z = mark_heights(4, s, 0.2, kPlaces);
  const Roughness cut = roughness([&](int i) { return z[static_cast<std::size_t>(i)]; });
  CHECK(marks->ra == Approx(cut.ra).epsilon(1e-3));
  CHECK(marks->rq == Approx(cut.rq).epsilon(1e-3));
}

TEST_CASE("marks per inch and the grades they earn", "[shop][outside]") {
  // Source: marks per inch = rpm N / (12 feed in ft/min); profiled wood grades economy 15, custom and premium
  // 20 per inch: Architectural Woodwork Standards 2009, section 8.
  MarkSettings s;
  s.spindle = 6000;
  s.flutes = 2;
  s.runout = 0;
  s.feed = 50 * 12 * 25.4;
  CHECK(marks_per_inch(*feed_marks(60, s)) == Approx(6000.0 * 2 / (12 * 50)));
  CHECK(mark_grade(marks_per_inch(*feed_marks(60, s))) == MarkGrade::custom_and_premium);
  s.runout = 0.5;  // one flute high
  CHECK(marks_per_inch(*feed_marks(60, s)) == Approx(6000.0 / (12 * 50)));
  CHECK(mark_grade(19.99) == MarkGrade::economy);
  CHECK(mark_grade(15) == MarkGrade::economy);
  CHECK(mark_grade(14.99) == MarkGrade::none);
}
