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
/// mm/min, um or µm (thou), mm2, mm², mm3 and mm³.
std::string inch_first(std::string_view text);

/// Text broken between words, but not before a figure's unit, into lines of at most `width` bytes (a longer
/// word keeps its own), all but the first behind `indent`, which is not counted.
std::string wrapped(std::string_view text, std::size_t width, std::string_view indent);

/// Lines of more than `width` bytes broken between words, what follows set two spaces further in than the
/// line; the others as they are.
std::string wrap_long_lines(std::string_view text, std::size_t width);

/// A scene's word as people write it: "point_roundover" becomes "point roundover".
std::string in_words(std::string_view key);

}  // namespace ovolo::io
