#pragma once
#include <string>
#include <vector>

#include "io/cli/run.hpp"
#include "sim/shop/compare.hpp"

namespace ovolo::cli {

/// One strategy, worked out.
struct Worked {
  std::string name;
  Prepared scene;
  Measures measures;
  ShopEstimate shop;
};

/// compare.png's bytes: each strategy's edge with the tallest feed marks, at the station that has them.
std::string draw_comparison(const std::vector<const Worked*>& worked, const StrategyComparison& comparison);

}  // namespace ovolo::cli
