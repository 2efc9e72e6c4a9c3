#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/program/value.hpp"

namespace ovolo::io {

/// One word of a line: a letter and its value.
struct ProgramWord {
  char letter = 0;  ///< upper case
  double value = 0;
  LineColumn at;
};

/// `#index = value`.
struct ParameterSetting {
  int index = 0;
  double value = 0;
  LineColumn at;
};

/// What one line says, in its order.
struct ProgramLine {
  int line = 0;
  bool block_delete = false;  ///< begins with a slash
  std::optional<int> number;  ///< of its N word
  std::vector<ProgramWord> words;
  std::vector<ParameterSetting> settings;
  std::optional<std::string> message;  ///< of the last comment, when that is (MSG, ...)
  LineColumn message_at;
  std::optional<LineColumn> semicolon;  ///< where a `;` comment (an extension) begins
};

/// Parses one line. Parameter values are those before the line; its own settings are returned, not made.
/// With `skip_deleted` a line that begins with a slash is returned unread. Throws ProgramError.
ProgramLine parse_line(std::string_view text, int number, const ParameterSource& parameters,
                       bool skip_deleted = false);

}  // namespace ovolo::io
