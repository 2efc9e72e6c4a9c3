#include "sim/shop/sand_fit.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "sim/error.hpp"

using namespace ovolo;

namespace {

std::vector<SandTiming> exact(double handling, double per_metre, double per_mm3) {
  std::vector<SandTiming> all;
  for (const auto& [volume, stroke] :
       {std::pair{100.0, 900.0}, {800.0, 1800.0}, {300.0, 400.0}, {1500.0, 900.0}})
    all.push_back({handling + per_metre * stroke / 1000 + per_mm3 * volume, volume, stroke});
  return all;
}

}  // namespace

TEST_CASE("exact timings give the rates back", "[shop]") {
  SandRates held;
  held.per_metre = {12, 15, 18};
  const SandFit two = fit_sand_rates(exact(25, 15, 0.07), held);
  CHECK(two.rates.handling.value == Approx(25));
  CHECK(two.rates.per_mm3.value == Approx(0.07));
  CHECK(two.rates.per_metre.value == 15);
  CHECK(two.freedom == 2);
  CHECK(two.scatter == Approx(0).margin(1e-9));
  const SandFit three = fit_sand_rates(exact(25, 33, 0.07), held, true);
  CHECK(three.rates.handling.value == Approx(25));
  CHECK(three.rates.per_metre.value == Approx(33));
  CHECK(three.rates.per_mm3.value == Approx(0.07));
  CHECK(three.rates.source == "fitted to 4 timed parts");
}

TEST_CASE("errors of a straight line by its textbook form", "[shop]") {
  // Slope's error = s / sqrt(sum (x - mean)^2), intercept's s sqrt(1/n + mean^2 / sum (x - mean)^2)
  // (derived).
  SandRates held;
  held.per_metre = {0, 0, 0};
  const std::vector<SandTiming> t{{31, 100, 0}, {52, 500, 0}, {69, 900, 0}, {97, 1500, 0}};
  const SandFit fit = fit_sand_rates(t, held);
  const double mean = 750, spread = 650.0 * 650 + 250 * 250 + 150 * 150 + 750 * 750;
  const double seconds_mean = (31 + 52 + 69 + 97) / 4.0;
  const double slope = (-650 * (31 - seconds_mean) - 250 * (52 - seconds_mean) + 150 * (69 - seconds_mean) +
                        750 * (97 - seconds_mean)) /
                       spread;
  double squares = 0;
  for (const SandTiming& p : t) {
    const double e = p.seconds - seconds_mean - slope * (p.equivalent - mean);
    squares += e * e;
  }
  const double s = std::sqrt(squares / 2);
  CHECK(fit.rates.per_mm3.value == Approx(slope));
  CHECK(fit.scatter == Approx(s));
  CHECK(fit.per_mm3_error == Approx(s / std::sqrt(spread)));
  CHECK(fit.handling_error == Approx(s * std::sqrt(0.25 + mean * mean / spread)));
  CHECK(fit.rates.per_mm3.high - slope == Approx(student_t(2) * fit.per_mm3_error));
  CHECK(fit.correlation < 0);
}

TEST_CASE("the 95 % range holds the true rate in 95 of 100 shops", "[shop]") {
  std::mt19937 random(5);
  std::normal_distribution<double> noise(0, 6);
  SandRates held;
  held.per_metre = {0, 0, 0};
  int inside = 0;
  const int shops = 4000;
  for (int i = 0; i < shops; ++i) {
    std::vector<SandTiming> t;
    for (const double volume : {200.0, 600.0, 1200.0, 2000.0, 3000.0})
      t.push_back({60 + 0.05 * volume + noise(random), volume, 0});
    const Ranged rate = fit_sand_rates(t, held).rates.per_mm3;
    inside += rate.low <= 0.05 && rate.high >= 0.05;
  }
  CHECK(inside > 0.935 * shops);
  CHECK(inside < 0.965 * shops);
}

TEST_CASE("a handling time that comes out negative is none", "[shop]") {
  SandRates held;
  held.per_metre = {0, 0, 0};
  const SandFit fit = fit_sand_rates({{5, 100, 0}, {49, 1000, 0}, {101, 2000, 0}}, held);
  CHECK(fit.rates.handling.value == 0);
  CHECK(fit.rates.handling.low == 0);
  CHECK(fit.rates.per_mm3.value == Approx((5 * 100 + 49 * 1000 + 101 * 2000.0) / (100 * 100 + 1e6 + 4e6)));
  CHECK(fit.freedom == 2);
}

TEST_CASE("timings that cannot tell are refused", "[shop]") {
  const SandRates held;
  CHECK_THROWS_AS(fit_sand_rates({{10, 1, 0}, {20, 2, 0}}, held), JobError);
  CHECK_THROWS_AS(fit_sand_rates({{10, 5, 0}, {20, 5, 0}, {30, 5, 0}}, held), JobError);
  CHECK_THROWS_AS(fit_sand_rates({{90, 100, 0}, {60, 500, 0}, {30, 900, 0}}, held), JobError);
  CHECK_THROWS_AS(fit_sand_rates({{0, 100, 0}, {60, 500, 0}, {90, 900, 0}}, held), JobError);
  CHECK_THROWS_AS(fit_sand_rates({{30, -1, 0}, {60, 500, 0}, {90, 900, 0}}, held), JobError);
  CHECK_THROWS_AS(fit_sand_rates({{30, 1, std::nan("")}, {60, 500, 0}, {90, 900, 0}}, held), JobError);
  CHECK_THROWS_AS(fit_sand_rates({{30, 100, 10}, {60, 500, 20}, {90, 900, 30}}, held, true), JobError);
}
