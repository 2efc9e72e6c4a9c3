#pragma once
#include "sim/job.hpp"
#include "sim/path/route.hpp"

namespace ovolo {

/// One operation as the planner sees it. The bit and the contour exist.
struct OperationContext {
  const Job& job;
  const Operation& operation;
  int index;  ///< into Job::operations
  const Bit& bit;
  const NamedContour& named;
  /// Pass depths, the operation's own depth when it lists none.
  std::vector<double> depths() const;
};

/// The bit's axis follows the contour at `offset`, away from the part.
void plan_edge(const OperationContext& context, Route& route);
/// The bit's rim follows the contour at `offset` through the sheet, raised over tabs.
void plan_cut_out(const OperationContext& context, Route& route);
/// The inside of the contour is cleared, `offset` left standing at its wall.
void plan_pocket(const OperationContext& context, Route& route);
/// The motions of a program, one move each.
void plan_program(const Operation& operation, int index, Route& route);

}  // namespace ovolo
