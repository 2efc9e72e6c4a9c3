#include "sim/stock/pages.hpp"

#include <sys/mman.h>

#include <new>

namespace ovolo {

std::shared_ptr<void> zeroed_bytes(std::size_t bytes) {
  void* memory = mmap(nullptr, bytes, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
  if (memory == MAP_FAILED) throw std::bad_alloc();
  madvise(memory, bytes, MADV_HUGEPAGE);  // fewer page faults where the system can; no matter where it cannot
  return {memory, [bytes](void* p) { munmap(p, bytes); }};
}

}  // namespace ovolo
