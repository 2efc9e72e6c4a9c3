#include "io/scene/reading.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>

#include "io/text.hpp"

namespace ovolo::io {
namespace {

constexpr std::size_t kMostFaults = 1000;

}  // namespace

void Reading::fault(Place at, std::string text) {
  if (faults_.size() == kMostFaults)
    text = fmt::format("more than {} mistakes; mend those above first", kMostFaults);
  if (faults_.size() <= kMostFaults) faults_.push_back({source(at), std::move(text)});
}

void Reading::adopt(const std::vector<Fault>& faults) {
  for (const Fault& one : faults)
    if (!full()) faults_.push_back(one);
}

bool Reading::full() const { return faults_.size() > kMostFaults; }

void Reading::raise() const {
  if (faults_.empty()) return;
  std::vector<Fault> sorted = faults_;
  const std::size_t real = std::min(sorted.size(), kMostFaults);
  std::stable_sort(sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(real),
                   [this](const Fault& a, const Fault& b) {
                     const bool other_a = a.source.file != file, other_b = b.source.file != file;
                     return std::tie(other_a, a.source.file, a.source.line, a.source.column) <
                            std::tie(other_b, b.source.file, b.source.line, b.source.column);
                   });
  if (units == Units::inch)
    for (Fault& one : sorted)
      if (one.source.file == file) one.text = inch_first(one.text);
  throw SceneError(std::move(sorted));
}

}  // namespace ovolo::io
