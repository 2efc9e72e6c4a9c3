#pragma once
#include <cstddef>
#include <string>
#include <vector>

#include "sim/shop/sand_rates.hpp"

namespace ovolo {

/// When two figures count as the same.
struct RankRule {
  double share = 0.1;  ///< of the better one's size
  double floor = 0;    ///< in the figure's own unit
};

/// Candidates in order, best (smallest) first; those that differ too little to matter share a place.
struct Ranking {
  std::vector<std::vector<std::size_t>> places;  ///< indices of the candidates; ascending within a place
  /// The single best one; false when several share the first place or there is no candidate.
  bool decided() const { return !places.empty() && places.front().size() == 1; }
};

/// Ranks by value, the smaller the better. A candidate shares the place of the best one of that place when
/// its value is above it by no more than max(floor, share * |best value|), or, should the figures have
/// ranges, when their differences could come out the other way: rates that are guessed push all candidates
/// the same way, so low is compared with low and high with high. NaN and infinity come last, together.
Ranking rank(const std::vector<Ranged>& figures, const RankRule& rule);

}  // namespace ovolo
