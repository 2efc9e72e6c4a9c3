#pragma once
#include <string>
#include <string_view>

#include "io/program/code_text.hpp"

namespace ovolo::io {

inline constexpr int kMaxParameter = 5399;  ///< parameters are numbered from 1 (NISTIR 6556, appendix E)
inline constexpr int kMaxDepth = 64;        ///< brackets, functions and # within one another
inline constexpr double kNearInteger = 0.0001;

/// Where the values of numbered parameters come from.
class ParameterSource {
 public:
  virtual ~ParameterSource() = default;
  /// 1 <= index <= kMaxParameter. May throw ProgramError for a value that is not known.
  virtual double parameter(int index, LineColumn at) const = 0;
};

/// Reads a line's code from left to right.
class CodeCursor {
 public:
  CodeCursor(const CodeText& text, int line) : text_(text), line_(line) {}

  bool done() const { return next_ == text_.code.size(); }
  /// '\0' at the end.
  char peek(std::size_t ahead = 0) const {
    return next_ + ahead < text_.code.size() ? text_.code[next_ + ahead] : '\0';
  }
  char take() { return text_.code[next_++]; }
  /// Takes the word when it comes next.
  bool take_word(std::string_view word);
  LineColumn at() const { return {line_, text_.column[next_]}; }
  /// The next character for a message: quoted, or "the end of the line".
  std::string shown() const;

  /// A real value: a number, a bracketed expression, #parameter or a function. Throws ProgramError with the
  /// place; results are finite. `what` names it in messages ("the value of X").
  double value(const ParameterSource& parameters, std::string_view what);
  /// The real value after a `#`, as a parameter's number.
  int parameter_index(const ParameterSource& parameters);
  /// Digits alone; throws when there is none or more than `most`.
  int digits(std::size_t most, std::string_view what);

 private:
  double number(std::string_view what);
  double level(const ParameterSource& parameters, int precedence);
  double function(const ParameterSource& parameters, std::string_view what);
  double bracketed(const ParameterSource& parameters, std::string_view what);

  const CodeText& text_;
  int line_;
  std::size_t next_ = 0;
  int depth_ = 0;
};

/// The integer that a value within 0.0001 of one stands for; throws ProgramError when it is not near one or
/// not in [lowest, highest].
int near_integer(double value, LineColumn at, std::string_view what, int lowest, int highest);

}  // namespace ovolo::io
