#include <catch2/catch.hpp>

#include "sim/error.hpp"
#include "sim/shop/material.hpp"

using namespace ovolo;

TEST_CASE("specific energy of particleboard", "[shop][outside]") {
  // Source: particleboard 32.0 N/mm^2 cut slowly to 37.6 fast (Palubicki 2021). No other material has a
  // confirmed value.
  const Material m = material("particleboard");
  CHECK(m.specific_energy.low == 32.0);
  CHECK(m.specific_energy.high == 37.6);
  CHECK(m.energy_source == "Palubicki 2021");
  for (const char* name : {"mdf", "plywood", "softwood", "hardwood", "plastic"})
    CHECK(material(name).energy_source == "a guess");
  CHECK_THROWS_AS(material("unobtainium"), JobError);
}

TEST_CASE("usual chip loads of straight bits", "[shop][outside]") {
  // Source: general web reference, inch per tooth at a depth of one diameter, 1/4 in and 1/2 in: hardwood
  // .009-.011 and .019-.021; softwood and plywood .011-.013, .021-.023; MDF .013-.016, .025-.027.
  const auto check = [](const char* name, double diameter, double low, double high) {
    const auto range = usual_chip_load(name, diameter * 25.4);
    REQUIRE(range);
    CHECK(range->low == Approx(low * 25.4));
    CHECK(range->high == Approx(high * 25.4));
  };
  check("hardwood", 0.25, 0.009, 0.011);
  check("hardwood", 0.5, 0.019, 0.021);
  check("softwood", 0.25, 0.011, 0.013);
  check("plywood", 0.5, 0.021, 0.023);
  check("mdf", 0.25, 0.013, 0.016);
  check("mdf", 0.5, 0.025, 0.027);
  check("mdf", 0.375, 0.019, 0.0215);
  check("mdf", 2, 0.025, 0.027);
  CHECK_FALSE(usual_chip_load("plastic", 6));
}

TEST_CASE("usual top speeds", "[shop][outside]") {
  // Source: common practice, no published source: to 1 in 24,000; 1-2 in 18,000; 2-2.5 in 16,000; 2.5-3.5 in
  // 12,000 rpm.
  CHECK(usual_top_speed(10) == 24000);
  CHECK(usual_top_speed(25.4) == 24000);
  CHECK(usual_top_speed(40) == 18000);
  CHECK(usual_top_speed(50.8) == 18000);
  CHECK(usual_top_speed(60) == 16000);
  CHECK(usual_top_speed(80) == 12000);
}
