#pragma once
#include <stdexcept>
#include <string>
#include <vector>

#include "sim/job.hpp"

namespace ovolo::io {

/// What is wrong at one place of a file that was read, and how to mend it.
struct Fault {
  Source source;
  std::string text;
  /// "file:line:column: text"; line and column are left out where they are unknown.
  std::string str() const;
};

/// A file that was read (a scene or what it names) is wrong. what() is every fault on a line of its own.
class SceneError : public std::runtime_error {
 public:
  /// At least one fault, in the order of their places.
  explicit SceneError(std::vector<Fault> faults);
  /// A single fault.
  SceneError(Source source, std::string text);
  const std::vector<Fault>& faults() const { return faults_; }

 private:
  std::vector<Fault> faults_;
};

}  // namespace ovolo::io
