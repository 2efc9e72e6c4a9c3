#include <cstddef>
#include <cstdint>

#include "io/advise/measured.hpp"
#include "tests/support/any_text.hpp"

// Any bytes as what was measured on a test cut, both on a command line and in a file.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text{reinterpret_cast<const char*>(data), size};
  const ovolo::io::MeasuredDefaults defaults;
  ovolo::tests::read_or_refused([&] { ovolo::io::parse_measured(text, "--measured", defaults); });
  ovolo::tests::read_or_refused([&] { ovolo::io::parse_measured_file(text, "fuzz.toml", defaults); });
  return 0;
}
