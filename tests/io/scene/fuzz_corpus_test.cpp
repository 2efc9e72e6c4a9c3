#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>

#include "io/file.hpp"
#include "io/scene/scene.hpp"

// What the fuzzer (tests/fuzz/scene.cpp) found worth keeping, read again.
TEST_CASE("the kept inputs of the scene fuzzer are read or refused", "[scene][fuzz]") {
  int inputs = 0;
  for (const auto& entry : std::filesystem::directory_iterator(OVOLO_SOURCE_DIR "/tests/fuzz/corpus/scene")) {
    CAPTURE(entry.path().filename().string());
    const std::string text = ovolo::io::read_file(entry.path());
    try {
      ovolo::io::parse_scene(text, "fuzz.toml", "no/such/folder");
    } catch (const ovolo::io::SceneError& error) {
      CHECK_FALSE(error.faults().empty());
      for (const auto& fault : error.faults())
        CHECK(std::none_of(fault.text.begin(), fault.text.end(),
                           [](unsigned char c) { return c < 0x20 || c == 0x7f; }));
    }
    ++inputs;
  }
  CHECK(inputs > 100);
}
