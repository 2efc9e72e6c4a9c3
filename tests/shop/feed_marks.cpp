#include "sim/shop/feed_marks.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include "sim/error.hpp"

using namespace ovolo;

namespace {

MarkSettings settings(double advance_per_tooth, int flutes, double runout) {
  MarkSettings s;
  s.spindle = 18000;
  s.flutes = flutes;
  s.feed = advance_per_tooth * flutes * s.spindle;
  s.runout = runout;
  return s;
}

/// The same surface by brute force: each flute's position is stepped through many turns and the lowest point
/// in every thin strip of the wall is kept.
double stepped_height(double radius, const MarkSettings& s) {
  const double turn = s.advance_per_turn();
  const double sign = !s.direction ? 0 : *s.direction == Direction::conventional ? 1 : -1;
  const int strips = 4000;
  std::vector<double> lowest(strips, 1e9);
  for (int flute = 0; flute < s.flutes; ++flute) {
    const double share = static_cast<double>(flute) / s.flutes;
    const double r = radius - s.runout / 2 * (1 - std::cos(2 * std::numbers::pi * share));
    for (int cycle = -2; cycle <= 2; ++cycle) {
      const int steps = 400000;
      double last_x = 0, last_z = 0;
      for (int i = 0; i <= steps; ++i) {
        const double t = std::numbers::pi * (static_cast<double>(i) / steps - 0.5);
        const double x = turn * (cycle + share) + r * std::sin(t) + sign * turn * t / (2 * std::numbers::pi);
        const double z = radius - r * std::cos(t);
        const int strip = static_cast<int>(std::floor(x / turn * strips));
        const int last = static_cast<int>(std::floor(last_x / turn * strips));
        if (i > 0 && strip != last && strip >= 0 && strip < strips) {
          auto& low = lowest[static_cast<std::size_t>(strip)];
          low = std::min({low, z, last_z});
        } else if (strip >= 0 && strip < strips) {
          auto& low = lowest[static_cast<std::size_t>(strip)];
          low = std::min(low, z);
        }
        last_x = x;
        last_z = z;
      }
    }
  }
  return *std::max_element(lowest.begin(), lowest.end());
}

/// R - sqrt(R^2 - f^2/4) (derived).
double crest_height(double radius, double advance) {
  return radius - std::sqrt(radius * radius - advance * advance / 4);
}

}  // namespace

TEST_CASE("one high flute leaves a mark in every turn", "[shop]") {
  // The low flute of two runs 0.02 mm shallower; one turn's crest is only f^2/(8R) = 0.17 um high.
  const auto marks = feed_marks(5, settings(0.0417, 2, 0.02));
  REQUIRE(marks);
  CHECK(marks->marking == 1);
  CHECK(marks->spacing == Approx(0.0834));
  CHECK(marks->rt == Approx(crest_height(5, 0.0834)).epsilon(1e-9));
}

TEST_CASE("without runout every flute marks", "[shop]") {
  for (const int flutes : {1, 2, 3, 4, 12}) {
    const auto marks = feed_marks(5, settings(0.2, flutes, 0));
    REQUIRE(marks);
    CHECK(marks->marking == flutes);
    CHECK(marks->spacing == Approx(0.2));
    CHECK(marks->rt == Approx(crest_height(5, 0.2)).epsilon(1e-9));
  }
}

TEST_CASE("a flute that is a little low narrows its share of the marks", "[shop]") {
  // Two circles f apart whose depths differ by d meet at x = (R^2 - (R - d)^2 + f^2) / (2 f) (derived).
  const double radius = 5, f = 0.8, d = 0.01;
  const auto marks = feed_marks(radius, settings(f, 2, d));
  REQUIRE(marks);
  CHECK(marks->marking == 2);
  const double x = (radius * radius - (radius - d) * (radius - d) + f * f) / (2 * f);
  CHECK(marks->rt == Approx(radius - std::sqrt(radius * radius - x * x)).epsilon(1e-9));
  // It stops marking where its valley reaches the crest of one mark a turn, d = f_turn^2 / (8R) nearly.
  CHECK(feed_marks(radius, settings(f, 2, 0.063))->marking == 2);
  CHECK(feed_marks(radius, settings(f, 2, 0.065))->marking == 1);
}

TEST_CASE("marks agree with stepping every flute round", "[shop]") {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> unit(0, 1);
  for (int i = 0; i < 6; ++i) {
    MarkSettings s = settings(0.3 + 0.5 * unit(random), 1 + i % 4, 0.05 * unit(random));
    const double radius = 1.2 * s.advance_per_turn() + 3 * unit(random);
    if (i % 3 == 1) s.direction = Direction::climb;
    if (i % 3 == 2) s.direction = Direction::conventional;
    const auto marks = feed_marks(radius, s);
    REQUIRE(marks);
    // Strips are 1/4000 of a turn wide: the crest is cut off by at most a strip's rise.
    CHECK(marks->rt == Approx(stepped_height(radius, s)).epsilon(0.004));
  }
}

TEST_CASE("Ra and Rq of uneven marks, against sampling the surface", "[shop]") {
  for (const double low : {0.0, 0.004, 0.01, 0.015, 0.03}) {
    const double radius = 5, f = 0.4;
    const auto marks = feed_marks(radius, settings(f, 2, low));
    const int n = 20000;
    std::vector<double> z;
    double mean = 0;
    for (int i = 0; i < n; ++i) {
      const double x = 2 * f * (i + 0.5) / n, r = radius - low;
      const double high = std::min(x, 2 * f - x);
      z.push_back(std::min(radius - std::sqrt(radius * radius - high * high),
                           radius - std::sqrt(r * r - (x - f) * (x - f))));
      mean += z.back() / n;
    }
    double ra = 0, squares = 0;
    for (const double v : z) {
      ra += std::fabs(v - mean) / n;
      squares += (v - mean) * (v - mean) / n;
    }
    CHECK(marks->ra == Approx(ra).epsilon(1e-3));
    CHECK(marks->rq == Approx(std::sqrt(squares)).epsilon(1e-3));
  }
}

TEST_CASE("the surface along the feed has the marks' height and spacing", "[shop]") {
  const MarkSettings s = settings(0.2, 2, 0.002);
  const auto marks = feed_marks(2, s);
  const auto z = mark_heights(2, s, 0.8, 8001);
  CHECK(z.front() == 0);
  CHECK(*std::max_element(z.begin(), z.end()) == Approx(marks->rt).epsilon(1e-3));
  CHECK(z[4000] == Approx(0).margin(1e-12));  // one turn on
  CHECK(z[2000] == Approx(0.002));            // the low flute
  CHECK(z[1000] == Approx(z[5000]).margin(1e-12));
  CHECK(std::isinf(mark_heights(0.04, settings(0.05, 2, 0.05), 0.1, 3)[1]));
}

TEST_CASE("marks that do not overlap have no height", "[shop]") {
  CHECK_FALSE(feed_marks(0.04, settings(0.05, 2, 0.05)));
  CHECK(feed_marks(0.04, settings(0.05, 2, 0)));
  CHECK(feed_marks(1, settings(2, 1, 0))->rt == Approx(1));
  CHECK_FALSE(feed_marks(1, settings(2.01, 1, 0)));
  CHECK(feed_marks(0.05, settings(0.1, 1, 0)));
}

TEST_CASE("feed mark settings out of range are refused", "[shop]") {
  const MarkSettings good = settings(0.1, 2, 0.02);
  CHECK_THROWS_AS(feed_marks(0, good), JobError);
  for (const auto& spoil : std::vector<void (*)(MarkSettings&)>{
           [](MarkSettings& s) { s.feed = 0; }, [](MarkSettings& s) { s.feed = std::nan(""); },
           [](MarkSettings& s) { s.spindle = -1; }, [](MarkSettings& s) { s.flutes = 0; },
           [](MarkSettings& s) { s.flutes = 100; }, [](MarkSettings& s) { s.runout = -0.1; }}) {
    MarkSettings bad = good;
    spoil(bad);
    CHECK_THROWS_AS(feed_marks(5, bad), JobError);
  }
}
