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

/// What is told in both units turned round: "3.62 mm (0.1425 in)" becomes "0.1425 in (3.62 mm)", and so with
/// mm/min, um (thou), mm2 and mm3.
std::string inch_first(std::string_view text);

/// A scene's word as people write it: "point_roundover" becomes "point roundover".
std::string in_words(std::string_view key);

}  // namespace ovolo::io
