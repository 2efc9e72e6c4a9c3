#include "io/drawing/dxf_text.hpp"

#include <iconv.h>

#include <algorithm>
#include <array>

#include "io/text.hpp"

namespace ovolo::io {
namespace {

bool is_utf8(std::string_view text) {
  while (!text.empty()) {
    const std::size_t bytes = static_cast<unsigned char>(text[0]) < 0x80 ? 1 : utf8_character(text);
    if (bytes == 0) return false;
    text.remove_prefix(bytes);
  }
  return true;
}

/// "CP1252" for "ANSI_1252", which stands two lines below the variable's name.
std::string code_page(std::string_view text) {
  std::size_t at = text.find("$DWGCODEPAGE");
  for (int line = 0; line < 2 && at != std::string_view::npos; ++line) {
    at = text.find('\n', at);
    if (at != std::string_view::npos) ++at;
  }
  if (at == std::string_view::npos) return "CP1252";
  std::string_view value = text.substr(at, text.find_first_of("\r\n", at) - at);
  const std::size_t digits = value.find_first_of("0123456789");
  if (digits == std::string_view::npos) return "CP1252";
  value.remove_prefix(digits);
  return "CP" + std::string(value.substr(0, std::min<std::size_t>(value.find_first_not_of("0123456789"), 6)));
}

}  // namespace

std::optional<std::string> dxf_in_utf8(std::string_view text) {
  if (is_utf8(text)) return {};
  std::string in(text), out;
  char* from = in.data();
  std::size_t left = in.size();
  const iconv_t converter = iconv_open("UTF-8", code_page(text).c_str());
  const bool known = converter != reinterpret_cast<iconv_t>(-1);
  std::array<char, 4096> part{};
  while (left > 0) {
    char* to = part.data();
    std::size_t room = part.size();
    if (known) iconv(converter, &from, &left, &to, &room);
    out.append(part.data(), part.size() - room);
    if (left == 0 || (known && room < 8)) continue;
    // Stopped at a byte that means nothing.
    out += static_cast<unsigned char>(*from) < 0x80 ? *from : '?';
    ++from;
    --left;
  }
  if (known) iconv_close(converter);
  return out;
}

}  // namespace ovolo::io
