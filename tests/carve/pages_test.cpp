#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdint>
#include <new>

#include "sim/stock/pages.hpp"

using namespace ovolo;

TEST_CASE("a vector in pages of its own keeps its numbers as it grows and moves", "[memory]") {
  PageVector<std::uint32_t> numbers;
  for (std::uint32_t i = 0; i < 3000000; ++i) numbers.push_back(i);  // from less than 2 MiB to 12
  const PageVector<std::uint32_t> copy = numbers, moved = std::move(numbers);
  REQUIRE(moved.size() == 3000000);
  bool all = true;
  for (std::uint32_t i = 0; i < moved.size(); ++i) all = all && moved[i] == i;
  CHECK(all);
  CHECK(copy == moved);
  const PageVector<std::uint8_t> fresh(5000001);
  CHECK(std::all_of(fresh.begin(), fresh.end(), [](std::uint8_t v) { return v == 0; }));
}

TEST_CASE("more pages than any machine has are refused", "[memory]") {
  CHECK_THROWS_AS(PageAllocator<std::uint64_t>().allocate(static_cast<std::size_t>(-1) / 4),
                  std::bad_array_new_length);
  CHECK_THROWS_AS(zeroed_bytes(static_cast<std::size_t>(-1) / 2), std::bad_alloc);
  CHECK_THROWS_AS(zeroed_bytes(static_cast<std::size_t>(-1)), std::bad_alloc);
  CHECK(zeroed_pages<float>(0) == nullptr);
}
