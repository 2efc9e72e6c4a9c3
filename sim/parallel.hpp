#pragma once
#include <cstddef>
#include <functional>

namespace ovolo {

/// Calls body(i) for every i in [0, n) on the machine's threads (TBB's work stealing behind this one door).
/// Bodies must not depend on order. The first exception is rethrown after the others have ended. A thread that
/// waits for the last bodies helps with what they themselves hand out, and with nothing else.
void parallel_for(std::size_t n, const std::function<void(std::size_t)>& body, std::size_t grain = 1);

/// Limits the threads used by parallel_for while it lives; 0 means the machine's own number.
class ThreadLimit {
 public:
  explicit ThreadLimit(int threads);
  ~ThreadLimit();
  ThreadLimit(const ThreadLimit&) = delete;
  ThreadLimit& operator=(const ThreadLimit&) = delete;

 private:
  void* control_;
};

}  // namespace ovolo
