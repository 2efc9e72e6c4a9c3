#include "io/drawing/dxf_groups.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

#include "io/drawing/drawing.hpp"

namespace ovolo::io {
namespace {

constexpr std::string_view kBlank = " \t\r";

/// Up to 40 bytes of a value, safe to print.
std::string shown(std::string_view value) {
  std::string out;
  for (const char c : value.substr(0, 40)) out += c >= ' ' && c <= '~' ? c : '?';
  return out;
}

template <class Number>
bool read_number(std::string_view text, Number& out) {
  if (!text.empty() && text.front() == '+') text.remove_prefix(1);
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), out);
  return error == std::errc() && end == text.data() + text.size();
}

}  // namespace

std::vector<DxfGroup> dxf_groups(std::string_view text, const std::string& file) {
  if (text.find('\0') != std::string_view::npos)
    throw DrawingError({file, 1, 1}, "this is a binary file: save the drawing as an ASCII DXF");
  if (text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);
  std::vector<DxfGroup> out;
  std::size_t at = 0;
  int line = 0, column = 1;
  const auto next_line = [&](std::string_view& value) {
    if (at >= text.size()) return false;
    std::size_t end = text.find('\n', at);
    if (end == std::string_view::npos) end = text.size();
    value = text.substr(at, end - at);
    const std::size_t first = value.find_first_not_of(kBlank);
    column = first == std::string_view::npos ? 1 : static_cast<int>(first) + 1;
    value = first == std::string_view::npos ? std::string_view()
                                            : value.substr(first, value.find_last_not_of(kBlank) - first + 1);
    at = end + 1;
    ++line;
    return true;
  };
  std::string_view code, value;
  while (next_line(code)) {
    if (code.empty() && text.find_first_not_of(" \t\r\n", at) == std::string_view::npos)
      break;  // blank lines at the end
    DxfGroup group;
    if (!read_number(code, group.code) || group.code < -5 || group.code > 1071)
      throw DrawingError(
          {file, line, column},
          fmt::format(
              "a group code is wanted here, not '{}': this is no ASCII DXF file, or lines are missing",
              shown(code)));
    const int code_line = line;
    if (!next_line(value))
      throw DrawingError({file, code_line, 1},
                         fmt::format("the file ends after group code {}: its value is missing", group.code));
    if (group.code == 999) continue;
    group.value = value;
    group.line = line;
    group.column = column;
    out.push_back(group);
  }
  return out;
}

double dxf_number(const DxfGroup& group, const std::string& file) {
  double value = 0;
  if (!read_number(group.value, value) || !std::isfinite(value))
    throw DrawingError({file, group.line, group.column},
                       fmt::format("group {} must be a finite number with a decimal point, not '{}'",
                                   group.code, shown(group.value)));
  return value;
}

int dxf_whole(const DxfGroup& group, const std::string& file) {
  int value = 0;
  if (!read_number(group.value, value))
    throw DrawingError(
        {file, group.line, group.column},
        fmt::format("group {} must be a whole number, not '{}'", group.code, shown(group.value)));
  return value;
}

}  // namespace ovolo::io
