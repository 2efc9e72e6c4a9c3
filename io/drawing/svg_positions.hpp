#pragma once
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "sim/job.hpp"

namespace ovolo::io {

/// Lines and columns of a text's bytes. The text must outlive it.
class Positions {
 public:
  Positions(std::string_view text, const std::string& file);
  /// Line and column (1-based, in bytes) of byte `offset`.
  Source at(std::size_t offset) const;
  /// Byte where the value of an attribute begins, in the start tag whose name stands at `tag`; `tag` when not
  /// found.
  std::size_t attribute(std::size_t tag, std::string_view name) const;

 private:
  std::string_view text_;
  std::string file_;
  std::vector<std::size_t> lines_;  // where each begins
};

}  // namespace ovolo::io
