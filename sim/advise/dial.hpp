#pragma once
#include <array>
#include <string>
#include <vector>

#include "sim/advise/conflict.hpp"
#include "sim/advise/edge_case.hpp"
#include "sim/advise/errors.hpp"
#include "sim/advise/odds.hpp"
#include "sim/progress.hpp"
#include "sim/stop.hpp"

namespace ovolo {

/// One way to be off the chosen setting.
struct DialSide {
  WishWindow::Room room;  ///< how far before the first wish breaks, and which
  double beyond = 0;      ///< mm past that, where `there` is measured
  SectionMeasures there;  ///< what an edge there looks like
};

/// The best setting of one operation that makes an edge and what there is to know about it. Depths and
/// offsets in mm.
struct DialedEdge {
  std::uint32_t operation = 0;
  std::string unanswered;  ///< not empty: why there is nothing to find; the rest is then empty

  double depth = 0, offset = 0;
  double failure = 1;                      ///< chance that an edge is not within the wishes
  std::array<double, kWishes> failures{};  ///< chance that each wish alone is broken, by Wish
  SectionMeasures measures;                ///< of an edge cut exactly so
  DialSide deeper, shallower, outward, inward;
  double depth_sigma = 0, offset_sigma = 0;  ///< one standard deviation of what the wishes feel

  UnevenFace face;  ///< how the face stands along the edge: counted in the window and in the chances

  double failure_now = 1;  ///< the same chance with the scene's own settings
  double failure_with_better_zero = 1, failure_with_better_readings = 1;  ///< with a third of that error

  /// Not empty: no setting meets all wishes even without errors. The setting is then, of those whose chance
  /// to meet the wishes not set aside is within 0.05 of the best, the one that misses the wish set
  /// aside by the least.
  std::vector<Conflict> conflicts;
  std::vector<Wish> set_aside;
};

/// The setting (depth, offset) with the largest chance that an edge is within the wishes. Settings whose
/// chance differs by less than 0.0001 count as equal: of them the one with the least gouge is taken, and of
/// those the one with the least excess, nearest to the wanted form. What `stop` throws ends the search.
DialedEdge dial_edge(const Job& job, std::uint32_t operation, const SettingErrors& errors,
                     const StopCheck& stop = {});

/// Edge operations, and programs that pass a contour to be measured: what is found is then what to aim the
/// program at, and its own depth and mean offset are the setting there is now.
bool can_be_dialled(const Operation& op);

/// Every operation of the job that can be dialled, in order.
std::vector<DialedEdge> dial(const Job& job, const SettingErrors& errors, Progress* progress = nullptr);

}  // namespace ovolo
