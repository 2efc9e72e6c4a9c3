#pragma once
#include <stdexcept>
#include <string>

#include "io/error.hpp"
#include "io/text.hpp"

namespace ovolo::tests {

/// Throws where a message cannot be printed: empty, with control characters, or no UTF-8.
inline void require_printable(const std::string& text) {
  if (text.empty() || io::shown(text, text.size()) != text)
    throw std::logic_error("a message that cannot be printed");
}

/// Whether `read` reads its text; when it refuses it, with SceneError, the messages must be there and
/// printable. Throws whatever else it throws.
template <class Read>
bool read_or_refused(const Read& read) {
  try {
    read();
    return true;
  } catch (const io::SceneError& error) {
    if (error.faults().empty()) throw std::logic_error("refused without a word");
    for (const auto& fault : error.faults()) require_printable(fault.text);
    return false;
  }
}

}  // namespace ovolo::tests
