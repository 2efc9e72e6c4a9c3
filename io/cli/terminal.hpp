#pragma once
#include <chrono>
#include <string_view>

#include "sim/progress.hpp"

namespace ovolo::cli {

/// Makes Ctrl-C ask for a clean end: the next progress report throws Interrupted.
void catch_interrupts();
/// Throws Interrupted when one has been asked for.
void check_interrupt();

/// A line of progress on a terminal, nothing elsewhere.
class TerminalProgress : public Progress {
 public:
  TerminalProgress();
  ~TerminalProgress() override;
  void report(std::string_view what, double done) override;
  /// Wipes the line, so that other text can follow.
  void clear();

 private:
  bool terminal_;
  bool shown_ = false;
  std::chrono::steady_clock::time_point last_;
};

}  // namespace ovolo::cli
