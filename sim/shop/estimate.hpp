#pragma once
#include <optional>
#include <string>
#include <vector>

#include "sim/measure/edge.hpp"
#include "sim/path/plan.hpp"
#include "sim/shop/cost.hpp"
#include "sim/shop/curve_marks.hpp"
#include "sim/shop/load.hpp"
#include "sim/shop/motion_time.hpp"
#include "sim/shop/sanding.hpp"

namespace ovolo {

/// The finish of one measured edge, in the order of Measures::edges.
struct EdgeFinish {
  std::uint32_t operation = 0;
  std::string contour;
  CurveMarks
      marks;      ///< at the station with the tallest crests; empty when nothing is known of feed and spindle
  Vec2 marks_at;  ///< where that is, on the contour
  EdgeSanding sanding;
  bool shared = false;  ///< a later operation's edge is the same surface: it is sanded there, not here
};

/// What a job costs and leaves in the shop.
struct ShopEstimate {
  std::vector<std::string> missing;  ///< operations without a feed or a spindle speed
  std::vector<PassLoad> loads;
  std::optional<PlanTime> time;  ///< empty when a cutting move has no feed
  std::vector<EdgeFinish> edges;
  SandTime sanding;          ///< of all parts that one run makes
  std::optional<Cost> cost;  ///< empty without the time
  std::vector<Warning> warnings;
};

/// Loads, time, marks, sanding and cost of a measured job, by the job's own shop inputs. Marks are worked out
/// at up to 16 stations along an edge; the others take those of the nearest one.
ShopEstimate estimate(const Job& job, const Plan& plan, const MoveIndex& index, const Measures& measures);

/// The same of one edge operation: the loads of its passes (without their volumes) and its edges' marks,
/// equal to those of the whole job; the time is of the whole job, sanding and cost are left out. `edges` are
/// that operation's. For an answer while feed and speed are still being turned.
ShopEstimate estimate_edge(const Job& job, const Plan& plan, const MoveIndex& index, std::uint32_t operation,
                           const std::vector<EdgeMeasures>& edges);

}  // namespace ovolo
