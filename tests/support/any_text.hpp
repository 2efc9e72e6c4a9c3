#pragma once
#include <algorithm>
#include <stdexcept>

#include "io/error.hpp"

namespace ovolo::tests {

/// Whether `read` reads its text; when it refuses it, with SceneError, the messages must be there and
/// printable. Throws whatever else it throws.
template <class Read>
bool read_or_refused(const Read& read) {
  try {
    read();
    return true;
  } catch (const io::SceneError& error) {
    if (error.faults().empty()) throw std::logic_error("refused without a word");
    for (const auto& fault : error.faults())
      if (fault.text.empty() || std::any_of(fault.text.begin(), fault.text.end(),
                                            [](unsigned char c) { return c < 0x20 || c == 0x7f; }))
        throw std::logic_error("a message that cannot be printed");
    return false;
  }
}

}  // namespace ovolo::tests
