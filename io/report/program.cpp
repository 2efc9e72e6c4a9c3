#include "io/report/program.hpp"

namespace ovolo::io {

std::optional<ProgramPathReport> program_path(const Job& job, const EdgeMeasures& edge) {
  const Operation& op = job.operations[edge.operation];
  if (op.kind != OperationKind::program) return {};
  const Contour& contour = job.contours[static_cast<std::size_t>(op.contour)].contour;
  return report_program_path(op.program, op.bit, job.bits[op.bit].profile.cutting_radius(),
                             contour.translated(edge.copies.front()), op.keep);
}

}  // namespace ovolo::io
