#pragma once
#include <cstddef>
#include <string>
#include <string_view>

namespace ovolo::io {

/// Text of a file or a command line as a message may show it: control characters and what is not UTF-8
/// replaced by '?', cut after `longest` bytes (at a whole UTF-8 character) with "..." behind.
std::string shown(std::string_view text, std::size_t longest = 80);

/// Bytes of the UTF-8 character that `text` begins with, 0 when it does not begin with one (RFC 3629: no
/// overlong forms, no surrogates, nothing above U+10FFFF).
std::size_t utf8_character(std::string_view text);

/// Lengths in both units turned round: "3.62 mm (0.1425 in)" becomes "0.1425 in (3.62 mm)".
std::string inch_first(std::string_view text);

}  // namespace ovolo::io
