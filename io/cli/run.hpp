#pragma once
#include <stdexcept>
#include <string>

#include "sim/error.hpp"
#include "sim/job.hpp"
#include "sim/path/move_index.hpp"
#include "sim/path/plan.hpp"

namespace ovolo::cli {

/// One scene, read and planned.
struct Prepared {
  Job job;
  Plan plan;
  MoveIndex index;
};

/// Reads a scene and works out its moves; errors carry file, line and column.
Prepared prepare(const std::string& scene);
/// The same for a scene that has been read.
Prepared prepare(Job job);

/// A job that does not fit in memory; what() begins with the scene's place.
class DoesNotFit : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// Rethrows the JobError in flight as one with file, line and column: a SceneError, or DoesNotFit.
[[noreturn]] void rethrow_with_place(const Job& job);

/// Runs `work`; a JobError that it throws gets the place in the scene it belongs to.
template <class Work>
auto with_places(const Job& job, Work work) {
  try {
    return work();
  } catch (const JobError&) {
    rethrow_with_place(job);
  }
}

/// A length from the command line ("0.05", "0.05 mm", "2 thou") in mm; bare numbers are mm. Throws
/// CLI::ValidationError for `option` when it is no length or not more than 0.
double option_length(const std::string& text, const std::string& option);

}  // namespace ovolo::cli
