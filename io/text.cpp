#include "io/text.hpp"

#include <algorithm>

namespace ovolo::io {

std::string shown(std::string_view text, std::size_t longest) {
  const bool cut = text.size() > longest;
  std::size_t end = cut ? longest : text.size();
  while (cut && end > 0 && (text[end] & 0xC0) == 0x80) --end;
  std::string out(text.substr(0, end));
  std::replace_if(
      out.begin(), out.end(), [](unsigned char c) { return c < 0x20 || c == 0x7f; }, '?');
  return cut ? out + "..." : out;
}

}  // namespace ovolo::io
