#pragma once
#include "sim/shop/machine.hpp"
#include "sim/shop/material.hpp"
#include "sim/shop/sand_rates.hpp"
#include "sim/shop/shop_rates.hpp"
#include "sim/shop/tip_assumptions.hpp"

namespace ovolo {

/// What the shop knows about itself; all of it has defaults, most of them guesses and marked so.
struct ShopInputs {
  Machine machine;
  Material material;
  TipAssumptions tip;
  SandRates sand_rates;
  SandLimits sand_limits;
  ShopRates rates;
};

}  // namespace ovolo
