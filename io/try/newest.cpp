#include "io/try/newest.hpp"

#include <algorithm>
#include <utility>

#include "sim/error.hpp"

namespace ovolo::io {

bool Newest::overtaken(const std::string& page, std::uint64_t turn) {
  const std::scoped_lock lock(mutex_);
  const auto it = turns_.find(page);
  return it != turns_.end() && it->second > turn;
}

StopCheck Newest::of(const std::string& page, std::uint64_t turn, StopCheck ending) {
  if (!page.empty()) {
    const std::scoped_lock lock(mutex_);
    if (turns_.size() >= kMostPages && !turns_.contains(page)) turns_.clear();
    std::uint64_t& last = turns_[page];
    last = std::max(last, turn);
  }
  return [this, page, turn, ending = std::move(ending)] {
    if (ending) ending();
    if (!page.empty() && overtaken(page, turn)) throw Interrupted();
  };
}

}  // namespace ovolo::io
