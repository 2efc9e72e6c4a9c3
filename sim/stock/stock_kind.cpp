#include "sim/stock/stock_kind.hpp"

#include <algorithm>

namespace ovolo {

bool needs_voxels(const Job& job) {
  const auto undercut = [&](std::uint32_t bit) {
    return bit < job.bits.size() && job.bits[bit].profile.undercut();
  };
  return std::any_of(job.operations.begin(), job.operations.end(), [&](const Operation& op) {
    if (op.kind == OperationKind::turn) return true;
    if (op.kind == OperationKind::program)
      return std::any_of(op.program.begin(), op.program.end(),
                         [&](const ProgramMotion& m) { return undercut(m.bit); });
    return undercut(op.bit);
  });
}

std::uint32_t set_up_of(const Job& job, std::size_t index) {
  const auto end =
      job.operations.begin() + static_cast<std::ptrdiff_t>(std::min(index, job.operations.size()));
  return static_cast<std::uint32_t>(std::count_if(
      job.operations.begin(), end, [](const Operation& op) { return op.kind == OperationKind::turn; }));
}

}  // namespace ovolo
