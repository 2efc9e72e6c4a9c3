#include "sim/path/plan.hpp"

#include <fmt/format.h>

#include "sim/error.hpp"
#include "sim/path/operations.hpp"
#include "sim/path/sheet_states.hpp"
#include "sim/path/turned_sheet.hpp"
#include "sim/path/undercut_moves.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo {

std::vector<double> OperationContext::depths() const {
  return operation.passes.empty() ? std::vector<double>{operation.depth} : operation.passes;
}

Plan make_plan(const Job& job) {
  Plan plan;
  Route route(plan);
  std::uint32_t set_up = 0;
  for (std::size_t i = 0; i < job.operations.size(); ++i) {
    const Operation& operation = job.operations[i];
    const int index = static_cast<int>(i);
    if (operation.kind == OperationKind::turn) {
      ++set_up;
      continue;
    }
    route.begin(operation, static_cast<std::uint32_t>(i), set_up);
    if (operation.kind == OperationKind::program) {
      plan_program(operation, index, route);
      continue;
    }
    if (operation.bit >= job.bits.size())
      throw JobError(fmt::format("operation \"{}\" names no bit; give it one", operation.name), index);
    if (operation.contour < 0 || static_cast<std::size_t>(operation.contour) >= job.contours.size())
      throw JobError(fmt::format("operation \"{}\" names no contour; give it one", operation.name), index);
    Operation seen = operation;
    if (turned_over(set_up))  // from the top face the spindle turns the other way round
      seen.direction = operation.direction == Direction::climb ? Direction::conventional : Direction::climb;
    const OperationContext context{job, seen, index, job.bits[operation.bit],
                                   job.contours[static_cast<std::size_t>(operation.contour)]};
    switch (operation.kind) {
      case OperationKind::edge:
        plan_edge(context, route);
        break;
      case OperationKind::cut_out:
        plan_cut_out(context, route);
        break;
      case OperationKind::pocket:
        plan_pocket(context, route);
        break;
      case OperationKind::program:
      case OperationKind::turn:
        break;
    }
    route.lift();
  }
  check_undercut_moves(job, plan);
  lay_turned(job, plan);
  lay_on_sheet(job, plan);
  return plan;
}

}  // namespace ovolo
