#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "sim/bit/forms.hpp"
#include "tests/support/slow_twin.hpp"

namespace ovolo {
namespace {

using test::arc_move;
using test::line_move;
constexpr double kPi = std::numbers::pi;

double swept(const Move& move, const Profile& profile, Vec2 p) { return swept_height(move, profile, {}, p); }

// A ramp that climbs by m per mm along x, looked at over x = 0, y aside, far from its ends.
Move long_ramp(double m) { return line_move({-100, 0}, {100, 0}, -100 * m, 100 * m); }

}  // namespace

TEST_CASE("A level move leaves the profile itself", "[sweep]") {
  for (const Profile& profile : test::sample_profiles()) {
    const Move line = line_move({0, 0}, {30, 40}, -4, -4);
    const Move arc = arc_move({5, 5}, 12, 0.3, 4, -4, -4);
    for (double r = 0.0031; r < 3.2; r += 0.03717) {
      const Vec2 beside = Vec2{15, 20} + r * Vec2{-0.8, 0.6};
      const Vec2 before = r * Vec2{-0.6, -0.8};
      const Vec2 outside = Vec2{5, 5} + (12 + r) * unit(2.3);
      const double wanted = -4 + profile.height(r);
      CAPTURE(r, profile.cutting_radius());
      if (std::isinf(wanted)) {
        CHECK(std::isinf(swept(line, profile, beside)));
        CHECK(std::isinf(swept(arc, profile, outside)));
      } else {
        CHECK(swept(line, profile, beside) == Approx(wanted).margin(1e-9));
        CHECK(swept(line, profile, before) == Approx(wanted).margin(1e-9));
        CHECK(swept(arc, profile, outside) == Approx(wanted).margin(1e-9));
      }
    }
  }
}

// Source: derived (outside values, closed forms of ramps).
TEST_CASE("Ramps of ball, cone and flat follow their closed forms", "[sweep]") {
  for (const double m : {1e-6, 0.01, 0.15, 0.7, 1.5}) {
    for (double y = 0.01; y < 2.4; y += 0.0613) {
      CAPTURE(m, y);
      const double ball_height = 2.5 - std::sqrt(1 + m * m) * std::sqrt(2.5 * 2.5 - y * y);
      // The ball's lowest place stays on the ball while it lies within its quarter circle.
      CHECK(swept(long_ramp(m), ball(5, 5), {0, y}) == Approx(ball_height).margin(1e-9));
      CHECK(swept(long_ramp(m), straight(5, 5), {0, y}) ==
            Approx(-m * std::sqrt(2.5 * 2.5 - y * y)).margin(1e-9));
    }
    const double c = 2;  // the cone's slope
    const Profile cone({Segment::line({0, 0}, {3, 3 * c})});
    if (m >= c) continue;
    for (double y = 0.01; y < 3 * std::sqrt(1 - m * m / (c * c)); y += 0.0613) {
      CAPTURE(m, y);
      CHECK(swept(long_ramp(m), cone, {0, y}) == Approx(y * std::sqrt(c * c - m * m)).margin(1e-9));
    }
  }
}

TEST_CASE("A plunge leaves the bit's shape at its lowest", "[sweep]") {
  const Profile bit = ball(6, 5);
  const Move plunge = line_move({4, 5}, {4, 5}, 2, -3);
  CHECK(swept(plunge, bit, {4, 5}) == Approx(-3));
  CHECK(swept(plunge, bit, {5, 5}) == Approx(-3 + 3 - std::sqrt(8.0)));
  CHECK(std::isinf(swept(plunge, bit, {4, 8.001})));
}

TEST_CASE("A helix far from its axis is a ramp", "[sweep]") {
  const double m = 0.2, radius = 1e6;
  for (const Profile& profile : test::sample_profiles()) {
    const double half = 100 / radius;
    const Move helix = arc_move({-radius, 0}, radius, -half, 2 * half, -100 * m, 100 * m);
    for (double y = 0.013; y < 3; y += 0.0917) {
      CAPTURE(y);
      const double ramp = swept(long_ramp(m), profile, {0, y});
      if (std::isinf(ramp)) continue;
      CHECK(swept(helix, profile, {y, 0}) == Approx(ramp).margin(2e-5));
    }
  }
}

TEST_CASE("Ramps and helices of every profile agree with dense stamping", "[sweep]") {
  std::mt19937 random(7);
  const auto between = [&](double lo, double hi) {
    return lo + (hi - lo) * (static_cast<double>(random()) / 4294967296.0);
  };
  const auto profiles = test::sample_profiles();
  double worst = 0;
  for (int i = 0; i < 1500; ++i) {
    const Profile& profile = profiles[random() % profiles.size()];
    const double reach = profile.cutting_radius();
    const double z0 = between(-5, 0), z1 = z0 + between(-4, 4) * (i % 5 == 0 ? 0.01 : 1);
    Move move = line_move({0, 0}, between(0.1, 25) * unit(between(-kPi, kPi)), z0, z1);
    if (i % 2) {
      const double radius = i % 4 == 1 ? between(0.1, 3) : between(3, 60);
      const double sweep = i % 8 == 1 ? 2 * kPi : between(0.02, 2 * kPi);
      move = arc_move({between(-2, 2), 1}, radius, between(-kPi, kPi), i % 16 < 8 ? sweep : -sweep, z0, z1);
    }
    const Vec2 p = move.path.point(between(-0.1, 1.1) * move.path.length()) +
                   reach * between(0, 1.02) * unit(between(-kPi, kPi));
    const double exact = swept(move, profile, p);
    const double stamped = test::stamped_height(move, profile, p, 3000, 4);
    CAPTURE(i, exact, stamped);
    if (std::isinf(stamped)) continue;  // a sliver at the rim that no stamp met
    CHECK(exact <= stamped + 1e-9);
    CHECK(exact >= stamped - 2e-6);
    worst = std::max(worst, stamped - exact);
  }
  CHECK(worst < 2e-6);
}

TEST_CASE("A region is as low inside as at its path, and falls off outside", "[sweep]") {
  Region region;
  region.loops.push_back(Contour::rectangle({0, 0}, {20, 10}, 0));
  region.loops.push_back(Contour::circle({0, 0}, 2).reversed());
  Move move;
  move.region = 0;
  move.z0 = move.z1 = -3;
  const Profile bit = ball(4, 5);
  const std::vector<Region> regions{region};
  CHECK(swept_height(move, bit, regions, {6, 1}) == Approx(-3));
  CHECK(swept_height(move, bit, regions, {1, 0}) == Approx(-3 + 2 - std::sqrt(3.0)));
  CHECK(swept_height(move, bit, regions, {11, 6}) == Approx(-3 + 2 - std::sqrt(2.0)));
  CHECK(std::isinf(swept_height(move, bit, regions, {13, 0})));
}

}  // namespace ovolo
