#pragma once
#include <cstddef>
#include <string>
#include <string_view>

namespace ovolo::io {

/// Text of a file or a command line as a message may show it: control characters replaced, cut after
/// `longest` bytes (at a whole UTF-8 character) with "..." behind.
std::string shown(std::string_view text, std::size_t longest = 80);

}  // namespace ovolo::io
