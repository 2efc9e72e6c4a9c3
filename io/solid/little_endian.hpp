#pragma once
#include <algorithm>
#include <bit>
#include <cstring>
#include <string>

namespace ovolo::io {

/// Appends a number's bytes, the least first.
template <class Number>
void put(std::string& out, Number value) {
  char bytes[sizeof(Number)];
  std::memcpy(bytes, &value, sizeof(Number));
  if constexpr (std::endian::native == std::endian::big) std::reverse(bytes, bytes + sizeof(Number));
  out.append(bytes, sizeof(Number));
}

}  // namespace ovolo::io
