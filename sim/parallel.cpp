#include "sim/parallel.hpp"

#include <oneapi/tbb/blocked_range.h>
#include <oneapi/tbb/global_control.h>
#include <oneapi/tbb/parallel_for.h>
#include <oneapi/tbb/task_arena.h>

namespace ovolo {

void parallel_for(std::size_t n, const std::function<void(std::size_t)>& body, std::size_t grain) {
  // Alone: a thread that waits for a few rows of a picture must not take up another picture meanwhile.
  tbb::this_task_arena::isolate([&] {
    tbb::parallel_for(tbb::blocked_range<std::size_t>(0, n, grain),
                      [&](const tbb::blocked_range<std::size_t>& r) {
                        for (std::size_t i = r.begin(); i != r.end(); ++i) body(i);
                      });
  });
}

ThreadLimit::ThreadLimit(int threads)
    : control_(threads > 0 ? new tbb::global_control(tbb::global_control::max_allowed_parallelism,
                                                     static_cast<std::size_t>(threads))
                           : nullptr) {}

ThreadLimit::~ThreadLimit() { delete static_cast<tbb::global_control*>(control_); }

}  // namespace ovolo
