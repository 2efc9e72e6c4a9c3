#include "io/program/code_text.hpp"

#include <fmt/format.h>

namespace ovolo::io {
namespace {

bool control(char c) { return (static_cast<unsigned char>(c) < 0x20 && c != '\t') || c == 0x7f; }
// UTF-8 bytes after a character's first.
bool continues(char c) { return (static_cast<unsigned char>(c) & 0xc0) == 0x80; }

}  // namespace

CodeText code_text(std::string_view line, int number) {
  CodeText out;
  bool in_comment = false, to_end = false;
  int column = 0;
  for (const char c : line) {
    if (!continues(c)) ++column;
    const LineColumn at{number, column};
    if (static_cast<std::size_t>(column) > kMaxLine)
      throw ProgramError(at, fmt::format("the line is longer than {} characters: split it", kMaxLine));
    if (c == '\0')
      throw ProgramError(at, "this is no plain text: save the program as plain text (UTF-8 or ASCII)");
    if (control(c))
      throw ProgramError(at, fmt::format("control character 0x{:02x}: remove it",
                                         static_cast<unsigned>(static_cast<unsigned char>(c))));
    if (in_comment) {
      if (!to_end && c == '(')
        throw ProgramError(at, "a comment within a comment: close the first one before this parenthesis");
      if (!to_end && c == ')')
        in_comment = false;
      else
        out.comments.back().text += c;
      continue;
    }
    if (c == ' ' || c == '\t') continue;
    if (c == '(' || c == ';') {
      in_comment = true;
      to_end = c == ';';
      out.comments.push_back({{}, column, to_end});
      out.code += '(';
    } else {
      out.code += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    }
    out.column.push_back(column);
  }
  if (in_comment && !to_end)
    throw ProgramError({number, out.comments.back().column},
                       "this comment is not closed: put ) before the line's end");
  out.column.push_back(column + 1);
  return out;
}

}  // namespace ovolo::io
