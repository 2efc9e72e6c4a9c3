#include "io/report/used_bits.hpp"

#include <algorithm>

namespace ovolo::io {

bool used(const Job& job, std::size_t bit) {
  return std::any_of(job.operations.begin(), job.operations.end(), [&](const Operation& op) {
    if (op.kind == OperationKind::turn) return false;
    return op.bit == bit || std::any_of(op.program.begin(), op.program.end(),
                                        [&](const ProgramMotion& m) { return m.bit == bit; });
  });
}

}  // namespace ovolo::io
