#include "io/report/page.hpp"

#include <fmt/format.h>

#include <cstdint>
#include <stdexcept>

namespace ovolo::io {

std::string script_data(std::string_view json) {
  // A '<' can only stand within a text of JSON; escaped it can neither end the script nor open a comment.
  std::string out;
  for (const char c : json) {
    if (c == '<')
      out += "\\u003c";
    else
      out += c;
  }
  return out;
}

std::string base64(std::string_view bytes) {
  constexpr std::string_view letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string out;
  out.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    std::uint32_t word = 0;
    for (std::size_t k = 0; k < 3; ++k)
      word = word << 8 | (i + k < bytes.size() ? static_cast<unsigned char>(bytes[i + k]) : 0U);
    for (std::size_t k = 0; k < 4; ++k)
      out += i + k > bytes.size() ? '=' : letters[word >> (18 - 6 * k) & 63U];
  }
  return out;
}

void fill(std::string& page, std::string_view name, std::string_view text) {
  const std::string mark = fmt::format("@{}@", name);
  const std::size_t at = page.find(mark);
  if (at == std::string::npos) throw std::logic_error(fmt::format("the page has no place '{}'", name));
  page.replace(at, mark.size(), text);
}

}  // namespace ovolo::io
