#pragma once
#include <cstddef>
#include <memory>
#include <new>
#include <type_traits>
#include <vector>

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

/// Takes whole pages, `bytes` or somewhat more, straight from the system, and gives them back; large ones
/// where the system can, for each page written to first costs a fault. Throws std::bad_alloc.
void* take_pages(std::size_t bytes);
void give_back_pages(void* pages, std::size_t bytes) noexcept;

/// For vectors that may be large: from 2 MiB on their memory is pages of their own.
template <class T>
class PageAllocator {
 public:
  using value_type = T;
  PageAllocator() = default;
  template <class U>
  PageAllocator(const PageAllocator<U>&) {}
  T* allocate(std::size_t count) {
    if (count > kMost) throw std::bad_array_new_length();
    const std::size_t bytes = count * sizeof(T);
    return static_cast<T*>(bytes < kLarge ? ::operator new(bytes) : take_pages(bytes));
  }
  void deallocate(T* p, std::size_t count) noexcept {
    const std::size_t bytes = count * sizeof(T);
    if (bytes < kLarge)
      ::operator delete(p);
    else
      give_back_pages(p, bytes);
  }
  bool operator==(const PageAllocator&) const { return true; }

 private:
  static constexpr std::size_t kLarge = std::size_t{2} << 20,
                               kMost = static_cast<std::size_t>(-1) / 2 / sizeof(T);
};

template <class T>
using PageVector = std::vector<T, PageAllocator<T>>;

}  // namespace ovolo
