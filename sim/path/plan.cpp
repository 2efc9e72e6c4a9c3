#include "sim/path/plan.hpp"

#include <fmt/format.h>

#include "sim/error.hpp"
#include "sim/path/operations.hpp"
#include "sim/path/sheet_states.hpp"

namespace ovolo {

std::vector<double> OperationContext::depths() const {
  return operation.passes.empty() ? std::vector<double>{operation.depth} : operation.passes;
}

Plan make_plan(const Job& job) {
  Plan plan;
  Route route(plan);
  for (std::size_t i = 0; i < job.operations.size(); ++i) {
    const Operation& operation = job.operations[i];
    const int index = static_cast<int>(i);
    route.begin(operation, static_cast<std::uint32_t>(i));
    if (operation.kind == OperationKind::program) {
      plan_program(operation, index, route);
      continue;
    }
    if (operation.bit >= job.bits.size())
      throw JobError(fmt::format("operation \"{}\" names no bit; give it one", operation.name), index);
    if (operation.contour < 0 || static_cast<std::size_t>(operation.contour) >= job.contours.size())
      throw JobError(fmt::format("operation \"{}\" names no contour; give it one", operation.name), index);
    const OperationContext context{job, operation, index, job.bits[operation.bit],
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
        break;
    }
    route.lift();
  }
  lay_on_sheet(job, plan);
  return plan;
}

}  // namespace ovolo
