#include "io/program/line.hpp"

#include <fmt/format.h>

#include "io/text.hpp"

namespace ovolo::io {
namespace {

constexpr std::string_view kLetters = "bcdfghijklmpqrstxyza";

bool is_blank(char c) { return c == ' ' || c == '\t'; }

// The text of a message comment: "msg" and a comma before anything else, blanks and case not counting.
std::optional<std::string> message_of(const std::string& comment) {
  constexpr std::string_view kMark = "msg,";
  std::size_t matched = 0;
  for (std::size_t i = 0; i < comment.size(); ++i) {
    if (is_blank(comment[i])) continue;
    const char c =
        comment[i] >= 'A' && comment[i] <= 'Z' ? static_cast<char>(comment[i] - 'A' + 'a') : comment[i];
    if (c != kMark[matched]) return {};
    if (++matched == kMark.size()) {
      std::size_t from = i + 1;
      while (from < comment.size() && is_blank(comment[from])) ++from;
      return shown(std::string_view(comment).substr(from), comment.size());
    }
  }
  return {};
}

[[noreturn]] void refuse_letter(char c, const CodeCursor& cursor) {
  const LineColumn at = cursor.at();
  const char shown = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
  if (c == 'n')
    throw ProgramError(at, "a line number stands first on its line: move the N word there or remove it");
  if (c == 'o')
    throw ProgramError(
        at,
        "O words (numbered subprograms and loops) are not in NISTIR 6556 and are not read: have the "
        "program posted without them");
  if (c == '/') throw ProgramError(at, "a slash stands first on its line or between values within brackets");
  if (c == '%') throw ProgramError(at, "% stands alone on the program's first and last line");
  if (c == ')') throw ProgramError(at, "this parenthesis closes no comment: remove it");
  if (c >= 'a' && c <= 'z') throw ProgramError(at, fmt::format("no word begins with {}: remove it", shown));
  throw ProgramError(
      at, fmt::format("a word, a comment or a parameter setting should stand here, not {}", cursor.shown()));
}

}  // namespace

ProgramLine parse_line(std::string_view text, int number, const ParameterSource& parameters,
                       bool skip_deleted) {
  ProgramLine out;
  out.line = number;
  std::size_t first = 0;
  while (first < text.size() && is_blank(text[first])) ++first;
  out.block_delete = first < text.size() && text[first] == '/';
  if (out.block_delete && skip_deleted) return out;

  const CodeText code = code_text(text, number);
  CodeCursor cursor(code, number);
  if (out.block_delete) cursor.take();
  if (cursor.peek() == 'n') {
    cursor.take();
    out.number = cursor.digits(5, "the line number");
  }
  std::size_t comment = 0;
  while (!cursor.done()) {
    const LineColumn at = cursor.at();
    const char c = cursor.peek();
    if (c == '(') {
      cursor.take();
      const CodeText::Comment& found = code.comments[comment++];
      // Only the last comment of a line acts.
      out.message = found.to_line_end ? std::nullopt : message_of(found.text);
      out.message_at = at;
      if (found.to_line_end) out.semicolon = at;
    } else if (c == '#') {
      cursor.take();
      const int index = cursor.parameter_index(parameters);
      if (cursor.peek() != '=')
        throw ProgramError(cursor.at(),
                           fmt::format("'=' should follow the parameter's number, not {}", cursor.shown()));
      cursor.take();
      out.settings.push_back({index, cursor.value(parameters, "a parameter's value"), at});
    } else if (kLetters.find(c) != std::string_view::npos) {
      cursor.take();
      const char letter = static_cast<char>(c - 'a' + 'A');
      out.words.push_back({letter, cursor.value(parameters, fmt::format("the value of {}", letter)), at});
    } else {
      refuse_letter(c, cursor);
    }
  }
  return out;
}

}  // namespace ovolo::io
