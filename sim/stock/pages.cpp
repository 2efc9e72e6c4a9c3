#include "sim/stock/pages.hpp"

#include <sys/mman.h>

#include <new>

namespace ovolo {

std::shared_ptr<float[]> zeroed_pages(std::size_t count) {
  if (count == 0) return nullptr;
  const std::size_t bytes = count * sizeof(float);
  void* memory = mmap(nullptr, bytes, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
  if (memory == MAP_FAILED) throw std::bad_alloc();
  madvise(memory, bytes, MADV_HUGEPAGE);  // fewer page faults where the system can; no matter where it cannot
  return {static_cast<float*>(memory), [bytes](float* p) { munmap(p, bytes); }};
}

}  // namespace ovolo
