#pragma once
#include <string>
#include <vector>

#include "io/program/interpreter.hpp"
#include "io/program/read.hpp"

namespace ovolo::test {

/// Keeps what a program does and can print it, one line each: "rapid 0 0 5", "feed 10 0 -1 @600",
/// "arc xy 5 5 0 @600 about 0 5 by 90" (end, feed, centre in the plane's axes, degrees), "dwell 1.5", "tool
/// 3".
class Listing : public io::ProgramSink {
 public:
  void motion(const io::TipMotion& motion) override;
  void tool_change(int tool, io::LineColumn at) override;
  void dwell(double seconds, io::LineColumn at) override;
  void message(std::string_view text, io::LineColumn at) override;
  void stop(io::ProgramStop kind, io::LineColumn at) override;

  std::vector<io::TipMotion> motions;
  std::vector<std::string> lines;
};

/// A machine whose zero is the work zero, at (0, 0, 0) when the program starts, all nine systems there.
io::ProgramOptions plain_machine();

struct Run {
  std::vector<io::TipMotion> motions;
  std::vector<std::string> lines;
  io::ProgramNotes notes;
};
/// Runs the text with an M2 line behind it.
Run run(const std::string& text, const io::ProgramOptions& options = plain_machine());
/// The text as it stands, without an M2 added.
Run run_whole(const std::string& text, const io::ProgramOptions& options = plain_machine());
/// What SceneError says of the text ("line:column: text"); empty when it runs.
std::string error_of(const std::string& text, const io::ProgramOptions& options = plain_machine());
/// A number to 4 decimals, without trailing zeros.
std::string shown(double value);

}  // namespace ovolo::test
