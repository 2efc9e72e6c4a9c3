#include "io/drawing/scan.hpp"

#include <charconv>
#include <cmath>

namespace ovolo::io {
namespace {

bool digit(char c) { return c >= '0' && c <= '9'; }
bool letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }
bool blank(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f'; }

}  // namespace

void Scanner::skip_space() {
  while (blank(peek()) && !done()) ++at_;
}

bool Scanner::skip_separator() {
  skip_space();
  if (peek() != ',') return false;
  ++at_;
  skip_space();
  return true;
}

bool Scanner::number_ahead() const {
  std::size_t i = at_;
  const auto at = [&](std::size_t k) { return k < text_.size() ? text_[k] : '\0'; };
  if (at(i) == '+' || at(i) == '-') ++i;
  return digit(at(i)) || (at(i) == '.' && digit(at(i + 1)));
}

double Scanner::number() {
  if (!number_ahead()) {
    if (done()) throw ScanError(at_, "a number is missing at the end");
    throw ScanError(at_, std::string("a number is wanted here, not '") + peek() + "'");
  }
  const std::size_t start = at_;
  if (peek() == '+') ++at_;
  double value = 0;
  const char* first = text_.data() + at_;
  const auto [end, error] = std::from_chars(first, text_.data() + text_.size(), value);
  at_ += static_cast<std::size_t>(end - first);
  if (error != std::errc() || !std::isfinite(value))
    throw ScanError(start, "the number is too large or too small");
  return value;
}

bool Scanner::flag() {
  if (peek() != '0' && peek() != '1') throw ScanError(at_, "an arc's flag must be 0 or 1");
  return next() == '1';
}

std::string_view Scanner::word() {
  const std::size_t start = at_;
  while (letter(peek()) || peek() == '%') ++at_;
  return text_.substr(start, at_ - start);
}

}  // namespace ovolo::io
