#pragma once
#include <cstddef>
#include <stdexcept>
#include <string>
#include <string_view>

namespace ovolo::io {

/// A value inside an attribute is malformed; `offset` counts bytes into it.
struct ScanError : std::runtime_error {
  ScanError(std::size_t at, const std::string& what) : std::runtime_error(what), offset(at) {}
  std::size_t offset;
};

/// Walks over the numbers and words of an SVG attribute.
class Scanner {
 public:
  explicit Scanner(std::string_view text) : text_(text) {}
  std::size_t offset() const { return at_; }
  bool done() const { return at_ >= text_.size(); }
  char peek() const { return done() ? '\0' : text_[at_]; }
  char next() { return text_[at_++]; }
  void skip_space();
  /// Blanks with at most one comma; true when there was a comma.
  bool skip_separator();
  bool number_ahead() const;
  /// A finite number as SVG writes them ("-.5e3"). Throws ScanError.
  double number();
  /// '0' or '1'.
  bool flag();
  /// Letters and '%', as after a number.
  std::string_view word();

 private:
  std::string_view text_;
  std::size_t at_ = 0;
};

}  // namespace ovolo::io
