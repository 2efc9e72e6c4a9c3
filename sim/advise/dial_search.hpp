#pragma once
#include <functional>

#include "sim/advise/edge_case.hpp"
#include "sim/advise/odds.hpp"

namespace ovolo {

struct Setting {
  double depth = 0, offset = 0;
};

/// The setting with the least chance that a wish of the set is broken. Started from a grid over the window
/// and its surroundings, ended by a simplex search; the same result on every run.
Setting least_failure(const EdgeOdds& odds, const WishWindow& window, WishSet set);

/// Of the settings whose chance of failure is within `tie` of the best one's, the one that misses least.
/// `missing` is 0 or more.
Setting least_missing(const std::function<double(Setting)>& missing, const EdgeOdds& odds, WishSet set,
                      Setting best, double tie);

/// Of the settings whose chance of failure is within `tie` of the best one's, the one that gouges the wanted
/// form least, and of those the one that leaves the least standing above it.
Setting nearest_form(const EdgeCase& edge, const EdgeOdds& odds, WishSet set, Setting best, double tie);

}  // namespace ovolo
