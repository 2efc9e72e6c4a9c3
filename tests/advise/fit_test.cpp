// A bit deduced from test cuts: known bits come back within what the fit says of itself.
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "sim/advise/chi_square.hpp"
#include "sim/advise/fit.hpp"
#include "sim/bit/forms.hpp"
#include "sim/error.hpp"
#include "sim/measure/edge.hpp"

using namespace ovolo;

namespace {

// What calipers without error would read off a cut with this bit, by the closed forms of a straight edge.
double closed_form(double R, double W, double a, double D, double o, CutRead what, double line) {
  const double h0 = R - W, run = std::sqrt(R * R - h0 * h0), c = a + run;
  const double h = o >= a ? std::sqrt(R * R - (c - o) * (c - o)) : h0;
  switch (what) {
    case CutRead::lip:
      return std::max(0.0, D - W);
    case CutRead::band:
      return std::max(0.0, a - o);
    case CutRead::foot_depth:
      return D - (h - h0);
    case CutRead::width:
      return D >= W ? c - o : c - o - std::sqrt(R * R - (D + h0) * (D + h0));
    case CutRead::line_depth:
      return line;
    case CutRead::line_width:
      return c - o - std::sqrt(R * R - std::pow(D + h0 - line, 2));
  }
  return 0;
}

FitKnown known_of(double radius) {
  FitKnown k;
  k.bit.radius = radius;
  return k;
}

bool speaks_of(const std::vector<std::string>& texts, const std::string& what) {
  for (const std::string& t : texts)
    if (t.find(what) != std::string::npos) return true;
  return false;
}

}  // namespace

TEST_CASE("chi-square tails are the tables'", "[advise]") {
  // Abramowitz and Stegun, table 26.8 (percentage points).
  CHECK(chi_square_tail(3.84146, 1) == Approx(0.05).epsilon(1e-5));
  CHECK(chi_square_tail(18.3070, 10) == Approx(0.05).epsilon(2e-5));
  CHECK(chi_square_tail(1.14548, 5) == Approx(0.95).epsilon(1e-5));
  CHECK(chi_square_tail(124.342, 100) == Approx(0.05).epsilon(1e-4));
  CHECK(chi_square_tail(2, 2) == Approx(std::exp(-1.0)).epsilon(1e-12));
  CHECK(chi_square_tail(5, 0) == 1);
}

TEST_CASE("exact readings give the bit back", "[advise]") {
  const double R = 5, W = 3.62, a = R - std::sqrt(R * R - 1.38 * 1.38);
  for (const double z : {0.0, 0.04}) {
    TestCut cut;
    cut.name = "the spoiled cut";
    cut.depth = 5;
    for (const CutRead what : {CutRead::lip, CutRead::band, CutRead::foot_depth, CutRead::width})
      cut.readings.push_back({what, closed_form(R, W, a, 5 + z, 0, what, 0), 0.002});
    FitKnown known = known_of(R);
    known.xy = 0;
    const Fit fit = fit_cuts(known, {cut});
    CHECK(fit.working_depth.value == Approx(W).margin(1e-3));
    CHECK(fit.tip_flat.value == Approx(2 * a).margin(4e-3));
    CHECK(fit.z[0].value == Approx(z).margin(1e-3));
    CHECK(fit.working_depth.error < 0.01);
    CHECK(fit.contradictions.empty());
    CHECK(fit.chance > 0.5);
  }
}

TEST_CASE("the 95 % intervals hold 95 % of 1000 synthetic cuts", "[advise]") {
  std::mt19937_64 random(20261201);
  std::normal_distribution<double> normal;
  std::uniform_real_distribution<double> u(0, 1);
  constexpr int kCuts = 1000;
  int depth = 0, tip = 0, z_error = 0, line_held = 0, contradicted = 0;
  for (int i = 0; i < kCuts; ++i) {
    const double R = 3 + 5 * u(random), W = R * (0.55 + 0.35 * u(random));
    FitKnown known = known_of(R);
    known.line = 0.45 * W;
    const double c = R + known.centres / 2 * normal(random);
    const double a = std::max(0.0, c - std::sqrt(R * R - (R - W) * (R - W)));
    if (i % 3 == 0) known.bit.working_depth = std::min(R, W + known.bit.error * normal(random));
    if (i % 4 == 0) known.bit.tip_flat = std::max(0.0, 2 * a + known.bit.error * normal(random));
    const double line = known.line + known.line_error * normal(random);
    const double z = known.z * normal(random), x = known.xy * normal(random);
    TestCut deep, shallow;
    deep.name = "deep";
    shallow.name = "shallow";
    deep.depth = W + 0.5 + u(random);
    shallow.depth = W - 0.3;
    shallow.offset = a + 0.3;
    constexpr double e = 0.03;
    const auto read = [&](TestCut& cut, CutRead what) {
      const double value =
          closed_form(R, W, a, cut.depth + z, cut.offset + x, what, line) + e * normal(random);
      cut.readings.push_back({what, std::max(0.0, value), e});
    };
    read(deep, CutRead::lip);
    read(deep, CutRead::foot_depth);
    if (i % 2 == 0) read(deep, CutRead::band);
    read(shallow, CutRead::foot_depth);
    read(shallow, CutRead::width);
    read(shallow, CutRead::line_depth);
    if (i % 5 == 0) read(shallow, CutRead::line_width);
    const Fit fit = fit_cuts(known, {deep, shallow});
    const auto within = [](const Estimate& est, double truth) {
      return est.low() <= truth && truth <= est.high();
    };
    depth += within(fit.working_depth, W);
    tip += within(fit.tip_flat, 2 * a);
    z_error += within(fit.z[0], z);
    line_held += fit.line && within(*fit.line, line);
    contradicted += fit.contradictions.empty() ? 0 : 1;
  }
  for (const int held : {depth, tip, z_error, line_held}) {
    INFO("depth " << depth << " tip " << tip << " z " << z_error << " line " << line_held);
    CHECK(held >= 930);
    CHECK(held <= 970);
  }
  CHECK(contradicted <= 25);  // one in a hundred by the threshold, and some scatter
}

TEST_CASE("one slip among the readings is found", "[advise]") {
  const double R = 5, W = 3.62, a = 0.194;
  TestCut cut;
  cut.name = "the cut";
  cut.depth = 5;
  for (const CutRead what : {CutRead::lip, CutRead::band, CutRead::foot_depth, CutRead::width})
    cut.readings.push_back({what, closed_form(R, W, a, 5, 0, what, 0), 0.03});
  FitKnown known = known_of(R);
  known.bit.working_depth = W;
  cut.readings[0].value += 0.4;
  const Fit fit = fit_cuts(known, {cut});
  REQUIRE(fit.contradictions.size() == 1);
  CHECK(fit.chance < 1e-6);
  CHECK(speaks_of(fit.contradictions, "the lip of the cut, read as 1.780 mm (0.0701 in)"));
}

TEST_CASE("a lip alone does not tell the bit from the zero, and the fit says what would", "[advise]") {
  TestCut cut;
  cut.name = "the cut";
  cut.depth = 5;
  cut.readings = {{CutRead::lip, 1.38, 0.005}};
  FitKnown known = known_of(5);
  known.z = 0.1;
  const Fit fit = fit_cuts(known, {cut});
  CHECK(fit.working_depth.value == Approx(3.62).margin(2e-3));
  CHECK(fit.working_depth.error == Approx(0.1).epsilon(0.05));  // W = D + z - lip
  CHECK(fit.depth_and_z > 0.99);
  CHECK(speaks_of(fit.doubts, "the working depth and the Z error"));
  CHECK(speaks_of(fit.doubts, "would bring it"));
  CHECK(speaks_of(fit.doubts, "say nothing new about the tip flat") ==
        false);  // it follows from W on a full point
}

TEST_CASE("no lip felt says that the bit works at least so deep", "[advise]") {
  TestCut cut;
  cut.depth = 3.5;
  cut.offset = 0.4;
  cut.readings = {{CutRead::lip, 0, 0.01}};
  FitKnown known = known_of(5);
  known.bit.working_depth = 3.62;
  const Fit fit = fit_cuts(known, {cut});
  CHECK(fit.working_depth.value == Approx(3.62).margin(1e-3));
  cut.depth = 3.8;  // a reading of 3.62 and no lip at 3.8 pull against each other
  known.z = 0.01;
  CHECK(fit_cuts(known, {cut}).working_depth.value > 3.65);
}

TEST_CASE("the better of two readings weighs more", "[advise]") {
  // Derived: weighted mean, and its error 1 / sqrt(sum of weights).
  TestCut cut;
  cut.depth = 5;
  cut.readings = {{CutRead::lip, 1.40, 0.01}};
  FitKnown known = known_of(5);
  known.bit.working_depth = 3.66;
  known.bit.error = 0.03;
  known.z = 0;
  const Fit fit = fit_cuts(known, {cut});
  const double w1 = 1 / (0.03 * 0.03), w2 = 1 / (0.01 * 0.01);
  CHECK(fit.working_depth.value == Approx((w1 * 3.66 + w2 * 3.60) / (w1 + w2)).margin(1e-4));
  CHECK(fit.working_depth.error == Approx(1 / std::sqrt(w1 + w2)).epsilon(1e-3));
}

TEST_CASE("readings of a cut that cannot be are refused with the mend", "[advise]") {
  FitKnown known = known_of(5);
  TestCut cut;
  cut.depth = 5;
  CHECK_THROWS_AS(fit_cuts(known, {cut}), JobError);
  cut.readings = {{CutRead::lip, -1, 0.03}};
  CHECK_THROWS_AS(fit_cuts(known, {cut}), JobError);
  cut.readings = {{CutRead::line_depth, 1, 0.03}};
  CHECK_THROWS_AS(fit_cuts(known, {cut}), JobError);
}
