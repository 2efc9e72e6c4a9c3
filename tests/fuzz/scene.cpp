#include "io/scene/scene.hpp"
#include "tests/fuzz/toml_mutator.hpp"
#include "tests/support/any_text.hpp"

// Any bytes as a scene: a job, or messages with printable text, never a crash or another exception.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  ovolo::tests::read_or_refused([&] {
    ovolo::io::parse_scene({reinterpret_cast<const char*>(data), size}, "fuzz.toml", "no/such/folder");
  });
  return 0;
}
