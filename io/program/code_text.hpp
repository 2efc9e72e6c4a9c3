#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "io/program/place.hpp"

namespace ovolo::io {

/// A line as it is parsed: NISTIR 6556 ignores blanks and case outside comments.
struct CodeText {
  struct Comment {
    std::string text;
    int column = 0;
    bool to_line_end = false;  ///< begun by `;`, which is an extension
  };
  std::string code;         ///< lower case, without blanks; each comment stands as a single '('
  std::vector<int> column;  ///< of each character of `code`, and of the line's end
  std::vector<Comment> comments;
};

/// Throws ProgramError on an open or nested comment, a line over 256 characters, or a control character.
CodeText code_text(std::string_view line, int number);

inline constexpr std::size_t kMaxLine = 256;  ///< characters of a line

}  // namespace ovolo::io
