#include "io/cli/terminal.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <csignal>
#include <cstdio>

#include "sim/error.hpp"

namespace ovolo::cli {
namespace {

// A signal handler can reach nothing but a variable of this kind.
volatile std::sig_atomic_t interrupts = 0;

extern "C" void on_interrupt(int) { interrupts = interrupts + 1; }

}  // namespace

void catch_interrupts() {
  std::signal(SIGINT, on_interrupt);
  std::signal(SIGTERM, on_interrupt);
}

void check_interrupt() {
  if (interrupts > 0) throw Interrupted();
}

TerminalProgress::TerminalProgress() : terminal_(::isatty(STDERR_FILENO) == 1), last_() {}

TerminalProgress::~TerminalProgress() { clear(); }

void TerminalProgress::report(std::string_view what, double done) {
  check_interrupt();
  if (!terminal_) return;
  const auto now = std::chrono::steady_clock::now();
  if (now - last_ < std::chrono::milliseconds(80)) return;
  last_ = now;
  fmt::print(stderr, "\r\x1b[K{} {:3.0f} %", what, 100 * done);
  std::fflush(stderr);
  shown_ = true;
}

void TerminalProgress::clear() {
  if (!shown_) return;
  fmt::print(stderr, "\r\x1b[K");
  std::fflush(stderr);
  shown_ = false;
}

}  // namespace ovolo::cli
