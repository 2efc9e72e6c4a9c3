#pragma once
#include <cstdint>
#include <map>
#include <mutex>
#include <string>

#include "sim/stop.hpp"

namespace ovolo::io {

/// Which of a page's long questions is the newest: the work on an older one is not worth finishing.
/// Thread-safe; must outlive the checks it gives.
class Newest {
 public:
  /// A check that throws Interrupted once the same page has asked again (a greater `turn`), or `ending`
  /// throws by itself. An empty page is never overtaken.
  StopCheck of(const std::string& page, std::uint64_t turn, StopCheck ending);

 private:
  static constexpr std::size_t kMostPages = 1000;  // beyond, all are forgotten and nothing is overtaken
  bool overtaken(const std::string& page, std::uint64_t turn);
  std::mutex mutex_;
  std::map<std::string, std::uint64_t> turns_;
};

}  // namespace ovolo::io
