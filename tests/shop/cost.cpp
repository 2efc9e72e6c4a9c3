#include "sim/shop/cost.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "sim/error.hpp"

using namespace ovolo;

TEST_CASE("cost of a part and of a batch", "[shop]") {
  ShopRates r;
  r.machine_per_hour = 60;
  r.hand_per_hour = 30;
  r.abrasive_per_sheet = 2;
  r.set_up_minutes = 20;
  r.batch = 40;
  r.parts_per_sheet = 4;
  const Cost c = cost(480, {60, 120, 240}, 0.2, r);
  CHECK(c.part.machine_minutes == Approx(2));
  CHECK(c.part.set_up_minutes == Approx(0.5));
  CHECK(c.part.machine == Approx(2.5));
  CHECK(c.part.sanding_minutes.value == Approx(0.5));
  CHECK(c.part.sanding.value == Approx(0.5 / 60 * 30 + 0.05 * 2));
  CHECK(c.part.total.value == Approx(2.5 + 0.35));
  CHECK(c.batch.total.value == Approx(40 * c.part.total.value));
  CHECK(c.batch.total.low == Approx(40 * c.part.total.low));
  CHECK(c.batch.set_up_minutes == 20);
  CHECK(c.part.total.low < c.part.total.value);
}

TEST_CASE("shop rates that cannot be are refused", "[shop]") {
  for (const auto& spoil : std::vector<void (*)(ShopRates&)>{
           [](ShopRates& r) { r.machine_per_hour = -1; },
           [](ShopRates& r) { r.hand_per_hour = std::nan(""); },
           [](ShopRates& r) { r.abrasive_per_sheet = -1; }, [](ShopRates& r) { r.set_up_minutes = -1; },
           [](ShopRates& r) { r.batch = 0; }, [](ShopRates& r) { r.parts_per_sheet = 0; }}) {
    ShopRates bad;
    spoil(bad);
    CHECK_THROWS_AS(cost(1, {}, 0, bad), JobError);
  }
}
