#include "sim/shop/rank.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace ovolo {
namespace {

bool differs(double better, double worse, const RankRule& rule) {
  return worse - better > std::max(rule.floor, rule.share * std::fabs(better));
}

bool worse_by_enough(const Ranged& best, const Ranged& other, const RankRule& rule) {
  if (!std::isfinite(other.value)) return std::isfinite(best.value);
  return differs(best.value, other.value, rule) && other.low > best.low && other.high > best.high;
}

}  // namespace

Ranking rank(const std::vector<Ranged>& figures, const RankRule& rule) {
  std::vector<std::size_t> order(figures.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  const auto key = [&](std::size_t i) {
    return std::isfinite(figures[i].value) ? figures[i].value : std::numeric_limits<double>::infinity();
  };
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return key(a) < key(b); });
  Ranking ranking;
  for (const std::size_t i : order) {
    if (ranking.places.empty() || worse_by_enough(figures[ranking.places.back().front()], figures[i], rule))
      ranking.places.push_back({});
    ranking.places.back().push_back(i);
  }
  for (auto& place : ranking.places) std::sort(place.begin(), place.end());
  return ranking;
}

}  // namespace ovolo
