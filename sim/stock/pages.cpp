#include "sim/stock/pages.hpp"

#include <sys/mman.h>

#include <new>

namespace ovolo {

namespace {

/// Whole large pages from their size on, so that no end of them is left to small ones.
std::size_t whole_pages(std::size_t bytes) {
  constexpr std::size_t kLargePage = std::size_t{2} << 20;
  if (bytes < kLargePage) return bytes;
  const std::size_t whole = (bytes + kLargePage - 1) & ~(kLargePage - 1);
  if (whole < bytes) throw std::bad_alloc();
  return whole;
}

}  // namespace

void* take_pages(std::size_t bytes) {
  const std::size_t whole = whole_pages(bytes);
  void* memory = mmap(nullptr, whole, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
  if (memory == MAP_FAILED) throw std::bad_alloc();
  madvise(memory, whole, MADV_HUGEPAGE);  // fewer page faults where the system can; no matter where it cannot
  return memory;
}

void give_back_pages(void* pages, std::size_t bytes) noexcept { munmap(pages, whole_pages(bytes)); }

std::shared_ptr<void> zeroed_bytes(std::size_t bytes) {
  return {take_pages(bytes), [bytes](void* p) { give_back_pages(p, bytes); }};
}

}  // namespace ovolo
