#include "io/program/value.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <numbers>

namespace ovolo::io {
namespace {

constexpr double kDegree = std::numbers::pi / 180;

enum class Operator { none, power, times, divide, modulo, plus, minus, logical_or, logical_xor, logical_and };

// NISTIR 6556: powers first, then the products, then sums and logic together; from the left within each.
constexpr int kLooser = 1, kMiddle = 2, kTightest = 3;

struct Found {
  Operator op = Operator::none;
  int precedence = 0;
  std::string_view text;
};

constexpr Found kOperators[] = {
    {Operator::power, kTightest, "**"},     {Operator::times, kMiddle, "*"},
    {Operator::divide, kMiddle, "/"},       {Operator::modulo, kMiddle, "mod"},
    {Operator::plus, kLooser, "+"},         {Operator::minus, kLooser, "-"},
    {Operator::logical_or, kLooser, "or"},  {Operator::logical_xor, kLooser, "xor"},
    {Operator::logical_and, kLooser, "and"}};

double apply(Operator op, double left, double right, LineColumn at) {
  switch (op) {
    case Operator::power:
      if (left < 0 && right != std::floor(right))
        throw ProgramError(at, "a negative number cannot be raised to a power that is not whole");
      if (left == 0 && right < 0) throw ProgramError(at, "zero cannot be raised to a negative power");
      return std::pow(left, right);
    case Operator::times:
      return left * right;
    case Operator::divide:
      if (right == 0) throw ProgramError(at, "division by zero: the value on the right must not be zero");
      return left / right;
    case Operator::modulo: {
      if (right == 0) throw ProgramError(at, "MOD by zero: the value on the right must not be zero");
      const double rest = std::fmod(left, right);
      return rest < 0 ? rest + std::abs(right) : rest;
    }
    case Operator::plus:
      return left + right;
    case Operator::minus:
      return left - right;
    case Operator::logical_or:
      return left != 0 || right != 0 ? 1 : 0;
    case Operator::logical_xor:
      return (left != 0) != (right != 0) ? 1 : 0;
    case Operator::logical_and:
      return left != 0 && right != 0 ? 1 : 0;
    case Operator::none:
      break;
  }
  return left;
}

double finite(double value, LineColumn at) {
  if (!std::isfinite(value)) throw ProgramError(at, "the result is too large for a number");
  return value;
}

// Counts how deep values stand within one another while it lives.
class Depth {
 public:
  Depth(int& depth, LineColumn at) : depth_(depth) {
    if (depth_ == kMaxDepth)
      throw ProgramError(at,
                         fmt::format("more than {} brackets and functions within one another", kMaxDepth));
    ++depth_;
  }
  ~Depth() { --depth_; }
  Depth(const Depth&) = delete;
  Depth& operator=(const Depth&) = delete;

 private:
  int& depth_;
};

}  // namespace

bool CodeCursor::take_word(std::string_view word) {
  if (std::string_view(text_.code).substr(next_, word.size()) != word) return false;
  next_ += word.size();
  return true;
}

std::string CodeCursor::shown() const {
  if (done()) return "the end of the line";
  const char c = peek();
  if (c == '(') return "a comment";
  if (static_cast<unsigned char>(c) >= 0x80) return "a character that is not ASCII";
  return fmt::format("'{}'", c);
}

double CodeCursor::number(std::string_view what) {
  const LineColumn start = at();
  const bool negative = peek() == '-';
  if (peek() == '-' || peek() == '+') {
    take();
    if (peek() == '[' || peek() == '#' || (peek() >= 'a' && peek() <= 'z'))
      throw ProgramError(
          start, fmt::format("a sign stands before a number only: write [0 {} ...]", negative ? '-' : '+'));
  }
  const std::size_t first = next_;
  bool point = false, digit = false;
  for (;; take()) {
    const char c = peek();
    if (c >= '0' && c <= '9')
      digit = true;
    else if (c == '.' && !point)
      point = true;
    else
      break;
  }
  if (!digit) throw ProgramError(at(), fmt::format("{} should be a number, not {}", what, shown()));
  double value = 0;
  // A line's length keeps every number well inside the range of a double.
  std::from_chars(text_.code.data() + first, text_.code.data() + next_, value, std::chars_format::fixed);
  return negative ? -value : value;
}

double CodeCursor::value(const ParameterSource& parameters, std::string_view what) {
  const char c = peek();
  if (c == '[') return bracketed(parameters, what);
  if (c == '#') {
    const LineColumn start = at();
    take();
    const Depth depth(depth_, start);
    return parameters.parameter(parameter_index(parameters), start);
  }
  if (c >= 'a' && c <= 'z') return function(parameters, what);
  return number(what);
}

int CodeCursor::parameter_index(const ParameterSource& parameters) {
  const LineColumn start = at();
  return near_integer(value(parameters, "a parameter's number"), start, "a parameter's number", 1,
                      kMaxParameter);
}

int CodeCursor::digits(std::size_t most, std::string_view what) {
  const LineColumn start = at();
  int value = 0;
  std::size_t count = 0;
  while (peek() >= '0' && peek() <= '9') {
    if (++count > most)
      throw ProgramError(start, fmt::format("{} has more than {} digits: shorten it", what, most));
    value = 10 * value + (take() - '0');
  }
  if (count == 0) throw ProgramError(start, fmt::format("{} should be digits, not {}", what, shown()));
  return value;
}

double CodeCursor::bracketed(const ParameterSource& parameters, std::string_view what) {
  const LineColumn start = at();
  if (peek() != '[')
    throw ProgramError(start, fmt::format("{} should begin with '[', not {}", what, shown()));
  const Depth depth(depth_, start);
  take();
  const double value = level(parameters, kLooser);
  if (peek() != ']') {
    if (done()) throw ProgramError(start, "this bracket is not closed: put ] where its expression ends");
    throw ProgramError(at(), fmt::format("an operator or ] should stand here, not {}", shown()));
  }
  take();
  return value;
}

double CodeCursor::level(const ParameterSource& parameters, int precedence) {
  const auto operand = [&] {
    return precedence == kTightest ? value(parameters, "a value in this expression")
                                   : level(parameters, precedence + 1);
  };
  double left = operand();
  for (;;) {
    const LineColumn start = at();
    const Found* found = nullptr;
    for (const Found& f : kOperators) {
      if (std::string_view(text_.code).substr(next_, f.text.size()) == f.text) {
        found = &f;
        break;
      }
    }
    if (!found || found->precedence != precedence) return left;
    next_ += found->text.size();
    const double right = operand();
    left = finite(apply(found->op, left, right, start), start);
  }
}

double CodeCursor::function(const ParameterSource& parameters, std::string_view what) {
  const LineColumn start = at();
  const Depth depth(depth_, start);
  const auto argument = [&] { return bracketed(parameters, "a function's argument"); };
  const auto within = [&](double v, double lo, double hi, std::string_view name) {
    if (v < lo || v > hi)
      throw ProgramError(start, fmt::format("{} of {}: it takes {} to {}", name, v, lo, hi));
    return v;
  };
  if (take_word("atan")) {
    const double y = argument();
    if (peek() != '/') throw ProgramError(at(), "ATAN takes two arguments: write ATAN[y]/[x]");
    take();
    const double x = argument();
    return std::atan2(y, x) / kDegree;
  }
  if (take_word("abs")) return std::abs(argument());
  if (take_word("acos")) return std::acos(within(argument(), -1, 1, "ACOS")) / kDegree;
  if (take_word("asin")) return std::asin(within(argument(), -1, 1, "ASIN")) / kDegree;
  if (take_word("cos")) return std::cos(argument() * kDegree);
  if (take_word("exp")) return finite(std::exp(argument()), start);
  if (take_word("fix")) return std::floor(argument());
  if (take_word("fup")) return std::ceil(argument());
  if (take_word("ln")) {
    const double v = argument();
    if (v <= 0) throw ProgramError(start, fmt::format("LN of {}: it takes numbers above zero", v));
    return std::log(v);
  }
  if (take_word("round")) return std::round(argument());
  if (take_word("sin")) return std::sin(argument() * kDegree);
  if (take_word("sqrt")) {
    const double v = argument();
    if (v < 0) throw ProgramError(start, fmt::format("SQRT of {}: it takes numbers from zero up", v));
    return std::sqrt(v);
  }
  if (take_word("tan")) return finite(std::tan(argument() * kDegree), start);
  throw ProgramError(start, fmt::format("{} should be a number, not {}", what, shown()));
}

int near_integer(double value, LineColumn at, std::string_view what, int lowest, int highest) {
  const double whole = std::round(value);
  if (std::abs(value - whole) > kNearInteger)
    throw ProgramError(at, fmt::format("{} should be a whole number, not {}", what, value));
  if (whole < lowest || whole > highest)
    throw ProgramError(at, fmt::format("{} should be from {} to {}, not {}", what, lowest, highest, whole));
  return static_cast<int>(whole);
}

}  // namespace ovolo::io
