#include "io/bits/bits_file.hpp"
#include "tests/fuzz/toml_mutator.hpp"
#include "tests/support/any_text.hpp"

// Any bytes as a bits file: bits, or messages, never a crash or another exception.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  ovolo::tests::read_or_refused([&] {
    ovolo::io::parse_bits({reinterpret_cast<const char*>(data), size}, "fuzz.toml", "no/such/folder", {});
  });
  return 0;
}
