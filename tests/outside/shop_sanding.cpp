#include <catch2/catch.hpp>

#include "sim/error.hpp"
#include "sim/shop/grit.hpp"
#include "sim/shop/sand_fit.hpp"

using namespace ovolo;

TEST_CASE("grit sizes", "[shop][outside]") {
  // Source: FEPA / ISO 6344, mean particle in um; P60, and P150 and finer, from memory.
  const std::pair<int, double> sizes[] = {{80, 201}, {100, 162}, {120, 125},  {150, 100},
                                          {180, 82}, {220, 68},  {240, 58.5}, {320, 46.2}};
  for (const auto& [number, size] : sizes) CHECK(grit(number).particle == size);
  CHECK_THROWS_AS(grit(111), JobError);
}

TEST_CASE("removal rates of grits beside each other", "[shop][outside]") {
  // Source: belt sanding to completion with P60, P120, P180 took 87, 150 and 188 s in softwood (Sydor 2021,
  // 3828 Pa, 14.5 m/s): relative rates 1 : 0.58 : 0.46.
  const double p60 = relative_rate(grit(60));
  CHECK(relative_rate(grit(120)) == Approx(1));
  CHECK(relative_rate(grit(120)) / p60 == Approx(87.0 / 150).epsilon(0.01));
  CHECK(relative_rate(grit(180)) / p60 == Approx(87.0 / 188).epsilon(0.01));
  double last = 10;
  for (const Grit& g : grits()) {  // finer is slower
    CHECK(relative_rate(g) < last);
    last = relative_rate(g);
  }
}

TEST_CASE("Student's t", "[shop][outside]") {
  // Source: tables of Student's t, two-sided 95 %.
  CHECK(student_t(1) == Approx(12.706).epsilon(1e-4));
  CHECK(student_t(2) == Approx(4.303).epsilon(1e-4));
  CHECK(student_t(10) == Approx(2.228).epsilon(2e-4));
}
