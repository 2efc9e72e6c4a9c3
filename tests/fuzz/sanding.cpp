#include "io/scene/parts.hpp"
#include "io/scene/timings.hpp"
#include "tests/fuzz/toml_mutator.hpp"
#include "tests/support/any_text.hpp"

// Any bytes as a file of timings and as one of rates: never a crash or another exception.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text{reinterpret_cast<const char*>(data), size};
  ovolo::tests::read_or_refused([&] { ovolo::io::parse_timings(text, "fuzz.toml", "no/such/folder"); });
  ovolo::tests::read_or_refused([&] { ovolo::io::parse_sand_rates(text, "fuzz.toml"); });
  return 0;
}
