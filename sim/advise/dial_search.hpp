#pragma once
#include <functional>

#include "sim/advise/edge_case.hpp"
#include "sim/advise/odds.hpp"

namespace ovolo {

struct Setting {
  double depth = 0, offset = 0;
};

/// How far from the size asked for an edge with this setting would be, as a part of it; up to 0.1 will do.
using SizeMiss = std::function<double(Setting)>;

/// The setting with the least chance that a wish of the set is broken, of those with the size asked for where
/// there are any. Started from a grid over the window and its surroundings, ended by a simplex search; the
/// same result on every run. An empty `size` asks for none.
Setting least_failure(const EdgeOdds& odds, const WishWindow& window, WishSet set, const SizeMiss& size = {});

/// Of the settings whose chance of failure is within `tie` of the best one's, the one that misses least.
/// `missing` is 0 or more.
Setting least_missing(const std::function<double(Setting)>& missing, const EdgeOdds& odds, WishSet set,
                      Setting best, double tie);

/// Of the settings whose chance of failure is within `tie` of the best one's, the one that gouges the wanted
/// form least, and of those the one that leaves the least standing above it; where a
/// size is asked for, the one nearest to it.
Setting nearest_form(const EdgeCase& edge, const EdgeOdds& odds, WishSet set, Setting best, double tie,
                     const SizeMiss& size = {});

}  // namespace ovolo
