#pragma once
#include <cstdint>
#include <numeric>
#include <vector>

namespace ovolo {

/// Which of many things hang together (disjoint sets). A set is named by its lowest member.
class Joined {
 public:
  explicit Joined(std::size_t n) : above_(n) { std::iota(above_.begin(), above_.end(), 0U); }

  std::uint32_t find(std::uint32_t i) {
    while (above_[i] != i) i = above_[i] = above_[above_[i]];
    return i;
  }
  void join(std::uint32_t a, std::uint32_t b) {
    a = find(a);
    b = find(b);
    above_[a < b ? b : a] = a < b ? a : b;
  }

 private:
  std::vector<std::uint32_t> above_;
};

}  // namespace ovolo
