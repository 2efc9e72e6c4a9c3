#include "sim/shop/pass_split.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "sim/bit/forms.hpp"
#include "sim/error.hpp"

using namespace ovolo;

namespace {

double summed_area(const Profile& profile, double r0, double r1, double depth) {
  const int n = 200000;
  double area = 0;
  for (int i = 0; i < n; ++i) {
    const double r = r0 + (r1 - r0) * (i + 0.5) / n;
    const double cut = depth - profile.height(r);
    if (cut > 0) area += cut * (r1 - r0) / n;
  }
  return area;
}

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

TEST_CASE("the section a pass removes, against plain summing", "[shop]") {
  const Profile forms[] = {roundover(5, 3.62),         ball(6, 10),   chamfer(0.6, 1, 9, 5),
                           ogee(4, 3, 1, 0.5, 0.3, 8), cove(5, 2, 8), straight(6, 20)};
  std::mt19937 random(3);
  std::uniform_real_distribution<double> unit(0, 1);
  for (const Profile& form : forms)
    for (int i = 0; i < 5; ++i) {
      const double c = form.cutting_radius();
      const double r0 = unit(random) * c / 2, r1 = r0 + unit(random) * c;
      const double depth = unit(random) * (form.form_height() + 2);
      CHECK(cut_area(form, r0, r1, depth) == Approx(summed_area(form, r0, r1, depth)).margin(2e-4));
    }
}

TEST_CASE("sides of the wall", "[shop]") {
  const Profile bit = roundover(5, 3.62);
  const double whole = pass_area(bit, {0.3, true}, 3);
  CHECK(whole == Approx(2 * cut_area(bit, 0, 5, 3)));
  CHECK(pass_area(bit, {0.3, false}, 3) + pass_area(bit, {-0.3, false}, 3) == Approx(whole));
  CHECK(pass_area(bit, {6, false}, 3) == Approx(0).margin(1e-12));
}

TEST_CASE("balanced passes share the section equally", "[shop]") {
  const Profile bit = roundover(5, 3.62);
  for (const double offset : {-0.2, 0.0, 0.4, 1.5})
    for (const bool waste : {false, true})
      for (const int count : {1, 2, 3, 7}) {
        const auto depths = split_passes(bit, offset, 3.55, {count, true, waste, 0});
        REQUIRE(depths.size() == static_cast<std::size_t>(count));
        CHECK(depths.back() == 3.55);
        const auto areas = pass_areas(bit, {offset, waste}, depths);
        for (const double area : areas) CHECK(area == Approx(areas.front()).epsilon(1e-8));
      }
}

TEST_CASE("a light last pass comes after the balanced ones", "[shop]") {
  const Profile bit = roundover(5, 3.62);
  const auto depths = split_passes(bit, 0, 3.62, {2, true, false, 0.2});
  REQUIRE(depths.size() == 3);
  CHECK(depths[1] == Approx(3.42));
  CHECK(depths[2] == 3.62);
  const auto areas = pass_areas(bit, {0, false}, depths);
  CHECK(areas[0] == Approx(areas[1]).epsilon(1e-8));
}

TEST_CASE("equal depths, with and without a light last pass", "[shop]") {
  const Profile bit = roundover(5, 3.62);
  CHECK(split_passes(bit, 0.4, 3.6, {3, false, false, 0}) == std::vector<double>{1.2, 2.4, 3.6});
  const auto depths = split_passes(bit, 0.4, 3.6, {2, false, false, 0.2});
  REQUIRE(depths.size() == 3);
  CHECK(depths[0] == Approx(1.7));
  CHECK(depths[1] == Approx(3.4));
  CHECK(depths[2] == 3.6);
}

TEST_CASE("passes that cannot be balanced are refused", "[shop]") {
  const Profile bit = roundover(5, 3.62);
  CHECK_THROWS_AS(split_passes(bit, 0, 3, {0, true, false, 0}), JobError);
  CHECK_THROWS_AS(split_passes(bit, 0, 3, {5000, true, false, 0}), JobError);
  CHECK_THROWS_AS(split_passes(bit, 0, 0, {2, true, false, 0}), JobError);
  CHECK_THROWS_AS(split_passes(bit, 0, std::nan(""), {2, true, false, 0}), JobError);
  CHECK_THROWS_AS(split_passes(bit, 0, 3, {2, true, false, 3}), JobError);
  CHECK_THROWS_AS(split_passes(bit, 0, 3, {2, true, false, -0.1}), JobError);
  CHECK_THROWS_AS(split_passes(bit, 9, 3, {2, true, false, 0}), JobError);
}
