#pragma once
#include <optional>
#include <string>
#include <vector>

#include "sim/measure/edge.hpp"
#include "sim/shop/estimate.hpp"
#include "sim/shop/rank.hpp"

namespace ovolo {

/// One way to do the job, measured and estimated. The references must outlive the call only.
struct Candidate {
  std::string name;
  const Job& job;
  const Measures& measures;
  const ShopEstimate& shop;
};

/// What strategies are held against each other by. Lengths mm, angles radians. Loads, marks and measures are
/// the worst of all edge operations; time and cost of the whole job. Empty: not known, or not there.
struct StrategyFigures {
  std::string name;
  bool good = false;  ///< every edge within the wishes
  std::optional<double> lip, band, face_break, wall_break;
  std::optional<double> tallest_mark;   ///< mm
  double chip_load = 0, high_chip = 0;  ///< mm
  double section = 0;                   ///< mm^2, the largest that one pass removes
  double rate = 0;                      ///< mm^3/s
  Ranged power;                         ///< W
  std::optional<Ranged> tip_index;
  int passes = 0;                          ///< of the edge operations, one after the other
  SandClass sanding = SandClass::nothing;  ///< the worst class anywhere
  bool must_recut = false;                 ///< somewhere sanding is not the cure
  double sanded_length = 0;                ///< mm of edge to go over
  std::optional<CostShare> part, batch;
};

/// How the strategies come out.
struct StrategyComparison {
  std::vector<StrategyFigures> figures;  ///< in the order of the candidates
  Ranking finish, tip, cost;
  std::vector<std::string> reasons;  ///< a sentence or two for each ranking: which, by how much, and why
};

/// Rules of the rankings; what differs by less shares a place. Finish: the tallest feed mark on the moulded
/// surfaces, 10 % or 0.5 um; edges beyond the wishes come last.
inline constexpr RankRule kFinishRule{0.10, 0.0005};
/// Tip: its index, 10 % or 0.5.
inline constexpr RankRule kTipRule{0.10, 0.5};
/// Cost: money for a part, 3 % or 0.01, and only where guessed rates could not turn the order over; parts
/// that must be recut come last.
inline constexpr RankRule kCostRule{0.03, 0.01};

StrategyComparison compare(const std::vector<Candidate>& candidates);

}  // namespace ovolo
