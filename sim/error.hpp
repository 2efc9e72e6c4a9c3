#pragma once
#include <stdexcept>
#include <string>

namespace ovolo {

/// The job cannot be done as told: what is wrong and how to mend it. `operation` is an index into
/// Job::operations when the trouble is one operation's, else -1; the command line adds file, line and column.
class JobError : public std::runtime_error {
 public:
  explicit JobError(const std::string& what, int operation_index = -1)
      : std::runtime_error(what), operation(operation_index) {}
  int operation;
};

/// The job needs more memory than there is.
class MemoryError : public JobError {
 public:
  using JobError::JobError;
};

/// The user interrupted a long computation.
class Interrupted : public std::runtime_error {
 public:
  Interrupted() : std::runtime_error("interrupted") {}
};

}  // namespace ovolo
