#include "io/program/read.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "io/error.hpp"
#include "io/file.hpp"
#include "io/program/interpreter.hpp"

namespace ovolo::io {
namespace {

/// A text's lines, whichever way they end.
class Lines {
 public:
  explicit Lines(std::string_view text) : text_(text) {}
  bool next(std::string_view& line) {
    if (at_ >= text_.size()) return false;
    const std::size_t end = std::min(text_.find_first_of("\r\n", at_), text_.size());
    line = text_.substr(at_, end - at_);
    at_ = end + (text_.substr(end, 2) == "\r\n" ? 2 : 1);
    ++number_;
    return true;
  }
  int number() const { return number_; }

 private:
  std::string_view text_;
  std::size_t at_ = 0;
  int number_ = 0;
};

std::string_view trimmed(std::string_view line) {
  const std::size_t first = line.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return line.substr(first, line.find_last_not_of(" \t") - first + 1);
}

ProgramNotes run(std::string_view text, const ProgramOptions& options, ProgramSink& sink,
                 const std::string& file) {
  constexpr std::string_view kByteOrderMark = "\xef\xbb\xbf";
  if (text.substr(0, 3) == kByteOrderMark) text.remove_prefix(3);
  ProgramLogs logs;
  Interpreter interpreter(options, sink, logs);
  ProgramNotes notes;
  Lines lines(text);
  std::string_view line;
  bool begun = false, delimited = false, closed = false;
  while (!closed && lines.next(line)) {
    const std::string_view bare = trimmed(line);
    if (bare.empty()) continue;
    if (!begun && bare == "%") {
      begun = delimited = true;
      continue;
    }
    begun = true;
    if (delimited && bare == "%") {
      closed = true;
      break;
    }
    // What stands after the program's end is not read, but a first % needs its second one.
    if (interpreter.ended()) {
      if (!delimited) break;
      continue;
    }
    ++notes.lines;
    const ProgramLine parsed = parse_line(line, lines.number(), interpreter, options.skip_deleted);
    if (parsed.block_delete && options.skip_deleted) {
      ++notes.deleted_lines;
      continue;
    }
    interpreter.run(parsed);
    if (parsed.message) notes.messages.push_back({*parsed.message, parsed.line});
  }
  const LineColumn last{lines.number(), lines.number() ? 1 : 0};
  if (delimited && !closed)
    throw ProgramError(last, "the program begins with % but has no closing %: add a line with % alone");
  if (!delimited && !interpreter.ended())
    throw ProgramError(
        last, "the program does not end with M2 or M30: it may have been cut short; add M2 if it is whole");
  if (!interpreter.ended() && interpreter.state().turning != Turning::stopped)
    logs.warnings.add("spindle-left-on", "the program ends with the spindle turning: end it with M2 or M30",
                      last);
  notes.motions = interpreter.motions();
  notes.warnings = logs.warnings.warnings(file);
  for (const Warning& w : logs.extensions.warnings(file)) notes.extensions.push_back(w.text);
  for (const Warning& w : logs.assumptions.warnings(file)) notes.assumptions.push_back(w.text);
  return notes;
}

}  // namespace

ProgramNotes read_program(std::string_view text, const std::string& file, const ProgramOptions& options,
                          ProgramSink& sink) {
  if (text.size() > options.limits.bytes)
    throw SceneError(Source{file, 0, 0},
                     fmt::format("the program has more than {} bytes: split it", options.limits.bytes));
  try {
    return run(text, options, sink, file);
  } catch (const ProgramError& e) {
    throw SceneError(Source{file, e.at.line, e.at.column}, e.what());
  }
}

ProgramNotes read_program_file(const std::string& path, const ProgramOptions& options, ProgramSink& sink) {
  return read_program(read_file(path, options.limits.bytes), path, options, sink);
}

}  // namespace ovolo::io
