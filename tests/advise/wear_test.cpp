// Wear of a bit over its dated readings.
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "render/raster.hpp"
#include "render/wear_plot.hpp"
#include "sim/advise/wear.hpp"
#include "sim/bit/forms.hpp"
#include "sim/bit/worn.hpp"
#include "sim/error.hpp"
#include "tests/render/drawing_check.hpp"

using namespace ovolo;

namespace {

EdgeCase edge_of(double radius, double working_depth) {
  EdgeCase edge;
  RoundoverReadings readings;
  readings.radius = radius;
  readings.working_depth = working_depth;
  edge.bit.roundover = derive_roundover(readings);
  edge.bit.profile = point_roundover(*edge.bit.roundover, 20);
  edge.bit.nominal_radius = radius;
  edge.bit.working_depth = working_depth;
  edge.wanted = WantedForm::round(radius);
  edge.stock.layers = {{"all", 18, {}}};
  return edge;
}

}  // namespace

TEST_CASE("a worn tip keeps its arcs", "[bit]") {
  const Roundover bit = *edge_of(5, 3.62).bit.roundover, less = worn(bit, 0.3);
  CHECK(less.working_depth == Approx(3.32));
  CHECK(less.cutting_radius == Approx(5));
  CHECK(less.tip_radius ==
        Approx(5 - std::sqrt(25 - 1.68 * 1.68)));  // derived: a = c - sqrt(R^2 - (R - W)^2)
  CHECK(worn(bit, 0).tip_radius == Approx(bit.tip_radius));
  CHECK(worn(bit, -10).working_depth == 5);
}

TEST_CASE("a line through two readings, and its error beyond them", "[advise]") {
  const Wear wear = fit_wear({{100, 3.50, 0.02, "2026-04-11"}, {0, 3.60, 0.02, "2026-01-01"}});
  CHECK(wear.loss == Approx(0.001));
  CHECK(wear.depth_now == Approx(3.5));
  CHECK(wear.depth_at(200) == Approx(3.4));
  // Derived: extrapolated by as much again, variance 0.02^2 (2^2 + 1^2).
  CHECK(wear.error_at(200) == Approx(0.02 * std::sqrt(5.0)));
  CHECK(wear.error_at(0) == Approx(0.02));
  const Wear::Reach reach = wear.reaches(3.4);
  REQUIRE(reach.likely);
  CHECK(*reach.likely == Approx(200).margin(1e-6));
  REQUIRE(reach.earliest);
  CHECK(*reach.earliest > 100);
  CHECK(*reach.earliest < 200);
  CHECK(wear.depth_at(*reach.earliest) - 1.96 * wear.error_at(*reach.earliest) == Approx(3.4).margin(1e-6));
  CHECK_FALSE(wear.reaches(1.0).likely);  // further off than such readings tell
  CHECK_FALSE(fit_wear({{0, 3.5, 0.02, ""}, {100, 3.6, 0.02, ""}}).reaches(3.4).likely);  // it does not wear
}

TEST_CASE("a line through many readings lies within its error", "[advise]") {
  std::mt19937_64 random(3);
  std::normal_distribution<double> normal;
  int held = 0;
  constexpr int kBits = 400;
  for (int b = 0; b < kBits; ++b) {
    std::vector<WearReading> readings;
    for (int i = 0; i < 6; ++i) {
      const double at = 40.0 * i + 7 * (b % 3), e = i % 2 == 0 ? 0.02 : 0.04;
      readings.push_back({at, 3.62 - 0.0004 * at + e * normal(random), e, ""});
    }
    const Wear wear = fit_wear(readings);
    held += std::abs(wear.depth_at(500) - (3.62 - 0.0004 * 500)) < 1.96 * wear.error_at(500) ? 1 : 0;
  }
  CHECK(held > 0.92 * kBits);
  CHECK(held < 0.98 * kBits);
}

TEST_CASE("the window ends where the lip or the band leaves its wish", "[advise]") {
  // Derived: lip D - W passes 0.015 at W = D - 0.015, the band a(W) - o later here.
  const EdgeCase edge = edge_of(5, 3.62);
  const auto limit = wear_limit(edge, 3.55, 0.3);
  REQUIRE(limit);
  CHECK(limit->working_depth == Approx(3.535).margin(1e-4));
  CHECK(limit->breaks == Wish::lip);
  const auto on_the_line = wear_limit(edge, 3.5, 0.1);  // a = 0.2 at W = R - sqrt(R^2 - 4.8^2) = 3.6
  REQUIRE(on_the_line);
  CHECK(on_the_line->working_depth == Approx(5 - std::sqrt(25 - 4.8 * 4.8)).margin(1e-4));
  CHECK(on_the_line->breaks == Wish::band);
  CHECK_FALSE(wear_limit(edge, 5, 0.3));  // outside already
}

TEST_CASE("readings that tell no wear are refused", "[advise]") {
  CHECK_THROWS_AS(fit_wear({{0, 3.6, 0.02, ""}}), JobError);
  CHECK_THROWS_AS(fit_wear({{5, 3.6, 0.02, ""}, {5, 3.5, 0.02, ""}}), JobError);
}

TEST_CASE("wear is drawn with the day it leaves the window", "[render][advise]") {
  const Wear wear = fit_wear(
      {{0, 3.66, 0.03, "2025-11-20"}, {164, 3.62, 0.03, "2026-05-03"}, {240, 3.60, 0.02, "2026-07-18"}});
  render::WearPlot plot{wear, "round5", "rim", false, WearLimit{3.535, Wish::lip}, wear.reaches(3.535)};
  CHECK(render::place_text(plot, 164) == "2026-05-03");
  REQUIRE(plot.reach.likely);
  const std::string svg = render::draw_wear(plot);
  CHECK(svg.find(render::place_text(plot, *plot.reach.likely)) != std::string::npos);
  const auto all = drawing_check::texts(svg);
  CHECK(drawing_check::contains(all, "below 3.535 mm (0.1392 in) the lip"));
  CHECK(drawing_check::contains(all, "2026-01-01"));  // firsts of months along the axis
  CHECK(drawing_check::overlaps(all).empty());
  CHECK(drawing_check::outside(all, 1200, 680).empty());
  CHECK(render::rasterize(svg).width == 1200);
  plot.inch = true;
  const auto inches = drawing_check::texts(render::draw_wear(plot));
  CHECK(drawing_check::contains(inches, "working depth, inch"));
  CHECK(drawing_check::contains(inches, "in 30 days"));
  CHECK(drawing_check::overlaps(inches).empty());
  plot.by_run = true;
  CHECK(render::place_text(plot, 1250) == "1250 m");
}
