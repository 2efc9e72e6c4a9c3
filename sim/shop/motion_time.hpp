#pragma once
#include <cstdint>
#include <vector>

#include "sim/path/plan.hpp"
#include "sim/shop/machine.hpp"

namespace ovolo {

/// Seconds of one pass of one operation.
struct PassTime {
  std::uint32_t operation = 0, pass = 0;
  double cutting = 0;   ///< s, cuts and leads
  double entering = 0;  ///< s, ramps and plunges
  double crossing = 0;  ///< s, rapids on the way to it
  double length = 0;    ///< mm travelled at a feed
  double at_feed = 0;   ///< s of the cutting and entering in which the full feed was held
  double seconds() const { return cutting + entering + crossing; }
};

struct PlanTime {
  std::vector<PassTime> passes;  ///< in the order they are first made
  int bit_changes = 0;
  double changing = 0;  ///< s
  double turning = 0;   ///< s, of all turns of the sheet
  double total = 0;     ///< s
};

/// How long the plan's moves take on a machine that speeds up and slows down evenly along the path. Each move
/// has its feed as a ceiling, an arc also sqrt(acceleration * radius). A corner of turn t is taken at the
/// speed of the arc that rounds it by `junction`, sqrt(a d cos(t/2) / (1 - cos(t/2))), tangent within half of
/// either move (derived). It stands still at the ends, where a bit is changed and where the path turns back.
/// Where a move does not start at the last one's end it rises to the clearance, crosses in rapid and comes
/// down. A cleared area takes no time beside the rings that clear it. Throws JobError when a cutting move has
/// no feed.
PlanTime plan_time(const Job& job, const Plan& plan, const Machine& machine);

}  // namespace ovolo
