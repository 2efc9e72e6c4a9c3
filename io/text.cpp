#include "io/text.hpp"

#include <algorithm>
#include <cctype>
#include <iterator>

namespace ovolo::io {

std::string shown(std::string_view text, std::size_t longest) {
  const bool cut = text.size() > longest;
  std::size_t end = cut ? longest : text.size();
  while (cut && end > 0 && (text[end] & 0xC0) == 0x80) --end;
  text = text.substr(0, end);
  std::string out;
  while (!text.empty()) {
    const auto first = static_cast<unsigned char>(text[0]);
    const std::size_t bytes = utf8_character(text);
    const bool control = first < 0x20 || first == 0x7f ||
                         (first == 0xC2 && bytes == 2 && static_cast<unsigned char>(text[1]) < 0xA0);
    if (bytes == 0 || control)
      out += '?';
    else
      out += text.substr(0, bytes);
    text.remove_prefix(bytes == 0 ? 1 : bytes);
  }
  return cut ? out + "..." : out;
}

std::size_t utf8_character(std::string_view text) {
  if (text.empty()) return 0;
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char first = byte(0);
  if (first < 0x80) return 1;
  const std::size_t length = first < 0xC2 ? 0 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : first < 0xF5 ? 4 : 0;
  if (length == 0 || text.size() < length) return 0;
  // The second byte's range keeps out overlong forms, surrogates and what lies above U+10FFFF.
  const unsigned char lo = first == 0xE0 ? 0xA0 : first == 0xF0 ? 0x90 : 0x80;
  const unsigned char hi = first == 0xED ? 0x9F : first == 0xF4 ? 0x8F : 0xBF;
  if (byte(1) < lo || byte(1) > hi) return 0;
  for (std::size_t i = 2; i < length; ++i)
    if (byte(i) < 0x80 || byte(i) > 0xBF) return 0;
  return length;
}

std::string inch_first(std::string_view text) {
  struct Pair {
    std::string_view first, other;
  };
  constexpr Pair kPairs[] = {
      {"mm", "in"},   {"mm/min", "in/min"}, {"um", "thou"},           {"mm2", "in2"},
      {"mm3", "in3"}, {"\u00b5m", "thou"},  {"mm\u00b2", "in\u00b2"}, {"mm\u00b3", "in\u00b3"}};
  const auto of_number = [](char c) { return (c >= '0' && c <= '9') || c == '.' || c == '-'; };
  const auto blank = [](char c) { return c == ' ' || c == '\n'; };
  // The end of a run of such characters from `at` on, or its beginning before `at`, not before `least`.
  const auto past = [&text](std::size_t at, const auto& kind) {
    while (at < text.size() && kind(text[at])) ++at;
    return at;
  };
  const auto before = [&text](std::size_t at, std::size_t least, const auto& kind) {
    while (at > least && kind(text[at - 1])) --at;
    return at;
  };
  std::string out;
  std::size_t done = 0;
  for (std::size_t open = text.find('('); open != std::string_view::npos; open = text.find('(', open + 1)) {
    const std::size_t inches = past(open + 1, of_number), other = past(inches, blank);
    const std::size_t close = text.find(')', other);
    if (inches == open + 1 || other == inches || close == std::string_view::npos) continue;
    const std::string_view inch_unit = text.substr(other, close - other);
    const std::size_t past_unit = before(open, done, blank);
    const std::string_view ahead = text.substr(done, past_unit - done);
    const Pair* pair = std::find_if(std::begin(kPairs), std::end(kPairs), [&](const Pair& p) {
      return p.other == inch_unit && ahead.ends_with(p.first);
    });
    if (pair == std::end(kPairs) || past_unit == open) continue;
    const std::size_t unit = past_unit - pair->first.size(), end = before(unit, done, blank);
    const std::size_t from = before(end, done, of_number);
    if (from == end || end == unit) continue;
    // Only the figures and their units change places: lines stay broken where they were.
    out.append(text, done, from - done);
    out.append(text, open + 1, inches - open - 1).append(text, end, unit - end).append(pair->other);
    out.append(text, past_unit, open + 1 - past_unit);
    out.append(text, from, end - from).append(text, inches, other - inches).append(pair->first).append(")");
    done = close + 1;
  }
  return out.append(text, done);
}

namespace {

// Where the word at `i` ends; a figure's unit is of its word.
std::size_t word_end(std::string_view text, std::size_t i) {
  constexpr std::string_view kUnits[] = {"mm", "in", "um", "thou", "mm2", "in2", "mm3", "in3", "%", "rpm"};
  const auto next = [&](std::size_t from) { return std::min(text.find(' ', from), text.size()); };
  const std::size_t end = next(i);
  if (end == i || end == text.size() || !std::isdigit(static_cast<unsigned char>(text[end - 1]))) return end;
  const std::size_t after = next(end + 1);
  std::string_view unit = text.substr(end + 1, after - end - 1);
  unit = unit.substr(0, unit.find_first_of(".,;:)"));
  return std::find(std::begin(kUnits), std::end(kUnits), unit) == std::end(kUnits) ? end : after;
}

}  // namespace

std::string wrapped(std::string_view text, std::size_t width, std::string_view indent) {
  std::string out, line;
  std::size_t i = 0;
  while (i < text.size()) {
    const std::size_t end = word_end(text, i);
    const std::string_view word = text.substr(i, end - i);
    if (!line.empty() && line.size() + 1 + word.size() > width) {
      out.append(line).append(1, '\n').append(indent);
      line.clear();
    }
    line.append(line.empty() ? "" : " ").append(word);
    i = end + 1;
  }
  return out + line;
}

std::string wrap_long_lines(std::string_view text, std::size_t width) {
  std::string out;
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t end = std::min(text.find('\n', from), text.size());
    const std::string_view line = text.substr(from, end - from);
    const std::size_t words = line.size() > width ? line.find_first_not_of(' ') : std::string_view::npos;
    if (words == std::string_view::npos || words + 2 >= width) {
      out += line;
    } else {
      const std::string indent(words + 2, ' ');
      out.append(line.substr(0, words)).append(wrapped(line.substr(words), width - indent.size(), indent));
    }
    if (end < text.size()) out += '\n';
    from = end + 1;
  }
  return out;
}

std::string in_words(std::string_view key) {
  std::string out(key);
  std::replace(out.begin(), out.end(), '_', ' ');
  return out;
}

}  // namespace ovolo::io
