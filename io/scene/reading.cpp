#include "io/scene/reading.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>

namespace ovolo::io {
namespace {

constexpr std::size_t kMostFaults = 1000;

}  // namespace

void Reading::fault(Place at, std::string text) {
  if (faults_.size() == kMostFaults)
    text = fmt::format("more than {} mistakes; mend those above first", kMostFaults);
  if (faults_.size() <= kMostFaults) faults_.push_back({source(at), std::move(text)});
}

bool Reading::full() const { return faults_.size() > kMostFaults; }

void Reading::raise() const {
  if (faults_.empty()) return;
  std::vector<Fault> sorted = faults_;
  const std::size_t real = std::min(sorted.size(), kMostFaults);
  std::stable_sort(
      sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(real), [](const Fault& a, const Fault& b) {
        return std::tie(a.source.line, a.source.column) < std::tie(b.source.line, b.source.column);
      });
  throw SceneError(std::move(sorted));
}

}  // namespace ovolo::io
