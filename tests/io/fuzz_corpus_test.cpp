#include <catch2/catch.hpp>
#include <filesystem>

#include "io/advise/measured.hpp"
#include "io/bits/bits_file.hpp"
#include "io/file.hpp"
#include "io/scene/parts.hpp"
#include "io/scene/scene.hpp"
#include "io/scene/timings.hpp"
#include "tests/support/any_text.hpp"

using namespace ovolo;

namespace {

struct Counted {
  int read = 0, refused = 0;
};

/// Reads every kept input of a fuzz target again.
template <class Read>
Counted replay(const std::string& target, const Read& read) {
  Counted out;
  for (const auto& entry :
       std::filesystem::directory_iterator(OVOLO_SOURCE_DIR "/tests/fuzz/corpus/" + target)) {
    CAPTURE(entry.path().filename().string());
    const std::string text = io::read_file(entry.path());
    ++(tests::read_or_refused([&] { read(text); }) ? out.read : out.refused);
  }
  return out;
}

}  // namespace

// What the fuzzers of tests/fuzz found worth keeping.
TEST_CASE("the kept inputs of the scene fuzzer are read or refused", "[scene][fuzz]") {
  const Counted seen =
      replay("scene", [](const std::string& text) { io::parse_scene(text, "fuzz.toml", "no/such/folder"); });
  CHECK(seen.read + seen.refused > 100);
}

TEST_CASE("the kept inputs of the bits fuzzer are read or refused", "[bits][fuzz]") {
  const Counted seen = replay(
      "bits", [](const std::string& text) { io::parse_bits(text, "fuzz.toml", "no/such/folder", {}); });
  CHECK(seen.read > 10);
  CHECK(seen.refused > 30);
}

TEST_CASE("the kept inputs of the sanding fuzzer are read or refused", "[shop][fuzz]") {
  const Counted timings = replay(
      "sanding", [](const std::string& text) { io::parse_timings(text, "fuzz.toml", "no/such/folder"); });
  const Counted rates =
      replay("sanding", [](const std::string& text) { io::parse_sand_rates(text, "fuzz.toml"); });
  CHECK(timings.read > 0);
  CHECK(rates.read > 1);
  CHECK(timings.refused > 5);
}

TEST_CASE("the kept inputs of the fuzzer of readings are read or refused", "[advise][fuzz]") {
  const Counted line =
      replay("measured", [](const std::string& text) { io::parse_measured(text, "--measured", {}); });
  const Counted file =
      replay("measured", [](const std::string& text) { io::parse_measured_file(text, "fuzz.toml", {}); });
  CHECK(line.read > 1);
  CHECK(file.read > 0);
  CHECK(line.refused > 10);
}
