#include "io/drawing/svg_positions.hpp"

#include <algorithm>

namespace ovolo::io {

Positions::Positions(std::string_view text, const std::string& file) : text_(text), file_(file), lines_{0} {
  for (std::size_t i = text.find('\n'); i != std::string_view::npos; i = text.find('\n', i + 1))
    lines_.push_back(i + 1);
}

Source Positions::at(std::size_t offset) const {
  offset = std::min(offset, text_.size());
  const auto line = std::upper_bound(lines_.begin(), lines_.end(), offset) - 1;
  return {file_, static_cast<int>(line - lines_.begin()) + 1, static_cast<int>(offset - *line) + 1};
}

std::size_t Positions::attribute(std::size_t tag, std::string_view name) const {
  const std::string_view text = text_;
  constexpr std::string_view kBlank = " \t\r\n";
  std::size_t i = text.find_first_of(" \t\r\n/>", std::min(tag, text.size()));
  while (i < text.size()) {
    i = text.find_first_not_of(kBlank, i);
    if (i == std::string_view::npos || text[i] == '>' || text[i] == '/') break;
    const std::size_t start = i;
    i = text.find_first_of(" \t\r\n=>", i);
    if (i == std::string_view::npos) break;
    const std::string_view found = text.substr(start, i - start);
    i = text.find_first_of("\"'>", i);
    if (i == std::string_view::npos || text[i] == '>') break;
    const std::size_t value = i + 1;
    if (found == name) return value;
    i = text.find(text[i], value);
    if (i == std::string_view::npos) break;
    ++i;
  }
  return tag;
}

}  // namespace ovolo::io
