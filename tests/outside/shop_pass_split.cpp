#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "sim/bit/forms.hpp"
#include "sim/shop/pass_split.hpp"

using namespace ovolo;

namespace {

Profile roundover(double radius, double working_depth) {
  RoundoverReadings readings;
  readings.radius = radius;
  readings.working_depth = working_depth;
  return point_roundover(derive_roundover(readings), 10);
}

/// Section that each pass removes on that side of a flat sheet.
std::vector<double> pass_areas(const Profile& profile, const CutSide& side,
                               const std::vector<double>& depths) {
  std::vector<double> areas;
  double before = 0;
  for (const double depth : depths) {
    areas.push_back(pass_area(profile, side, depth) - before);
    before += areas.back();
  }
  return areas;
}

}  // namespace

TEST_CASE("a first pass at half depth is far from half the work", "[shop][outside]") {
  // Source: derived. A full point's section is the spandrel R^2 (1 - pi/4); half the depth removes 10.1 % of
  // it. R 5 with W 3.62, kept side, axis on the line: 20.3 %.
  const Profile full = roundover(5, 5);
  CHECK(pass_area(full, {0, false}, 5) == Approx(25 * (1 - std::numbers::pi / 4)).epsilon(1e-12));
  const auto full_shares = pass_areas(full, {0, false}, {2.5, 5});
  CHECK(full_shares[0] / (full_shares[0] + full_shares[1]) == Approx(0.101).margin(0.0005));
  const Profile flat = roundover(5, 3.62);
  const auto shares = pass_areas(flat, {0, false}, {1.81, 3.62});
  CHECK(shares[0] / (shares[0] + shares[1]) == Approx(0.203).margin(0.0005));
}

TEST_CASE("half the section of a full point needs most of its depth", "[shop][outside]") {
  // Source: derived. The arc from the foot through the angle p, d = R sin p, leaves R^2 (sin p - p/2 -
  // sin(2p)/4).
  const auto depths = split_passes(roundover(5, 5), 0, 5, {2, true, false, 0});
  const double p = std::asin(depths[0] / 5);
  CHECK(25 * (std::sin(p) - p / 2 - std::sin(2 * p) / 4) ==
        Approx(25 * (1 - std::numbers::pi / 4) / 2).epsilon(1e-9));
  CHECK(depths[0] > 0.8 * 5);
}
