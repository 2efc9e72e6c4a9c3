#pragma once
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "io/program/place.hpp"
#include "sim/measure/edge.hpp"

namespace ovolo::io {

/// What a program's reading found besides its motions.
struct ProgramNotes {
  struct Message {
    std::string text;
    int line = 0;
  };
  std::vector<Warning> warnings;
  std::vector<Message> messages;  ///< of (MSG, ...) comments
  std::vector<std::string>
      extensions;  ///< uses of what NISTIR 6556 does not have, with the first line of each
  std::vector<std::string> assumptions;  ///< what the machine may do otherwise than it is taken here
  std::size_t motions = 0;
  int lines = 0;          ///< read
  int deleted_lines = 0;  ///< left out by the block delete switch
};

/// Gathers remarks of one kind from many lines into one.
class RemarkLog {
 public:
  /// The first remark of a code keeps its text and place; later ones are counted.
  void add(std::string_view code, std::string_view text, LineColumn at);
  /// "text (line 12)" or "text (lines 12 to 40, 7 times)", in the order of first use.
  std::vector<Warning> warnings(const std::string& file) const;

 private:
  struct Remark {
    std::string code, text;
    LineColumn first;
    int last = 0;
    std::size_t times = 0;
  };
  std::vector<Remark> remarks_;
};

/// What an interpreter remarks on.
struct ProgramLogs {
  RemarkLog warnings, extensions, assumptions;
};

}  // namespace ovolo::io
