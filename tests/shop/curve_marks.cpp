#include "sim/shop/curve_marks.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "sim/bit/forms.hpp"
#include "sim/error.hpp"

using namespace ovolo;

namespace {

Profile roundover(double radius, double working_depth) {
  RoundoverReadings readings;
  readings.radius = radius;
  readings.working_depth = working_depth;
  return point_roundover(derive_roundover(readings), 10);
}

MarkSettings at_feed(double feed) {
  MarkSettings s;
  s.feed = feed;
  s.spindle = 18000;
  return s;
}

/// R - sqrt(R^2 - f^2/4) (derived).
double crest_height(double radius, double advance) {
  return radius - std::sqrt(radius * radius - advance * advance / 4);
}

}  // namespace

TEST_CASE("the surface of a pass runs from the wall to the face", "[shop]") {
  // R 5, W 3.62, depth 3.55, axis 0.40 out: foot at 2.9704, curve 5.0028 long (derived).
  const auto places = places_of_pass(roundover(5, 3.62), 0.40, 3.55);
  CHECK(places.front().at.x == Approx(0).margin(1e-9));
  CHECK(places.front().at.y == Approx(-2.9704).margin(5e-5));
  CHECK(places.front().radius == Approx(0.40));
  CHECK(places.back().at.y == Approx(0).margin(1e-9));
  CHECK(places.back().s == Approx(5.0028).margin(2e-3));
  for (std::size_t i = 1; i < places.size(); ++i) CHECK(places[i].s >= places[i - 1].s);
}

TEST_CASE("walls, flats and lips of a pass", "[shop]") {
  const auto deep = places_of_pass(roundover(5, 3.62), 0, 5);
  CHECK(deep.front().upright == 0);  // the flat of the tip
  CHECK(deep.back().at.y == Approx(0).margin(1e-12));
  CHECK(deep.back().upright == 1);
  CHECK(deep[deep.size() - 2].at.y == Approx(-1.38).margin(1e-9));

  const auto wall = places_of_pass(straight(6, 20), 3, 4);  // the wall alone has no width at its own offset
  CHECK(wall.back().at.y == Approx(0));
}

TEST_CASE("marks are tallest nearest the tip", "[shop]") {
  const Profile bit = roundover(5, 3.62);
  const CurveMarks marks = curve_marks(places_of_pass(bit, 0, 3.55), {at_feed(2540)}, 5);
  REQUIRE(marks.bands.size() == 5);
  CHECK_FALSE(marks.open);
  CHECK(marks.bands[0].nearest_tip);
  for (std::size_t i = 1; i < 5; ++i) {
    CHECK_FALSE(marks.bands[i].nearest_tip);
    CHECK(marks.bands[i].rt < marks.bands[i - 1].rt);
    CHECK(marks.bands[i].s0 == marks.bands[i - 1].s1);
  }
  // Just above the tip flat's rim: one mark a turn (the low flute runs 20 um up), on a radius of a, leaning
  // by the curve's own slope there.
  const double a = bit.tip_flat_radius();
  const double rt = crest_height(a, 2540.0 / 18000) * std::sqrt(25 - 1.38 * 1.38) / 5;
  CHECK(marks.tallest == Approx(rt).epsilon(1e-6));
  CHECK(marks.tallest_at.y == Approx(-3.55).margin(1e-9));
  CHECK(marks.marks_per_inch == Approx(25.4 * 18000 / 2540));
}

TEST_CASE("band means add up to the mean of the whole surface", "[shop]") {
  const auto places = places_of_pass(roundover(5, 3.62), 0.4, 3.55);
  const CurveMarks one = curve_marks(places, {at_feed(2540)}, 1),
                   many = curve_marks(places, {at_feed(2540)}, 7);
  double ra = 0, rz = 0, rt = 0;
  for (const MarkBand& band : many.bands) {
    ra += band.ra / 7;
    rz += band.rz / 7;
    rt = std::max(rt, band.rt);
  }
  CHECK(ra == Approx(one.bands[0].ra).epsilon(1e-9));
  CHECK(rz == Approx(one.bands[0].rz).epsilon(1e-9));
  CHECK(rz == Approx(one.mean_crest).epsilon(1e-9));
  CHECK(rt == one.tallest);
}

TEST_CASE("a full point's marks do not meet on its axis", "[shop]") {
  const CurveMarks marks = curve_marks(places_of_pass(roundover(5, 5), 0, 5), {at_feed(2540)});
  CHECK(marks.open);
  CHECK(marks.bands[0].open);
  CHECK_FALSE(marks.bands[3].open);
}

TEST_CASE("mark surfaces that cannot be are refused", "[shop]") {
  const Profile bit = roundover(5, 3.62);
  CHECK_THROWS_AS(places_of_pass(bit, -1, 3), JobError);
  CHECK_THROWS_AS(places_of_pass(bit, 0, 0), JobError);
  CHECK_THROWS_AS(places_of_pass(bit, 4.9, 1), JobError);
  CHECK_THROWS_AS(curve_marks(places_of_pass(bit, 0, 3), {at_feed(1000)}, 0), JobError);
  CHECK(curve_marks({}, {}).points.empty());
}

TEST_CASE("heights across the surface, against the turned bit itself", "[shop]") {
  // The crest left between two positions of the bit, f apart along x, by brute force: in the plane half way,
  // the lowest point of either bit at each distance y from the path; its distance to the envelope's half
  // profile is the crest.
  const Profile bit = roundover(5, 3.62);
  const double f = 0.3;
  MarkSettings s;
  s.spindle = 1000;
  s.flutes = 1;
  s.runout = 0;
  s.feed = f * s.spindle;
  for (const double r : {0.5, 1.0, 2.0, 3.5}) {
    const double h = bit.height(r), slope = bit.slope(r);
    const double upright = slope / std::hypot(1, slope);
    const double rt = feed_marks(r, s)->rt * upright;
    // On the crest's plane the surface at height h stands at y = sqrt(r^2 - f^2/4).
    const double y = std::sqrt(r * r - f * f / 4);
    double nearest = 1e9;
    for (int i = 0; i <= 400000; ++i) {
      const double q = std::max(0.2, r - 0.5) + i * 1e-6 * 2.5;
      nearest = std::min(nearest, std::hypot(q - y, bit.height(q) - h));
    }
    CHECK(rt == Approx(nearest).epsilon(0.03));
  }
}
