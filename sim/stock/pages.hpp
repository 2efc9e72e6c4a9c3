#pragma once
#include <cstddef>
#include <memory>
#include <type_traits>

namespace ovolo {

/// Zeroed, page-aligned memory straight from the system, which gets it back when the last owner goes. The
/// system gives each page its memory when it is first written. Throws std::bad_alloc.
std::shared_ptr<void> zeroed_bytes(std::size_t bytes);

/// The same as `count` numbers, or plain structures of numbers, all 0. Empty when there are none.
template <class T>
requires std::is_trivially_copyable_v<T> std::shared_ptr<T[]> zeroed_pages(std::size_t count) {
  if (count == 0) return nullptr;
  const std::shared_ptr<void> bytes = zeroed_bytes(count * sizeof(T));
  return {bytes, static_cast<T*>(bytes.get())};
}

}  // namespace ovolo
