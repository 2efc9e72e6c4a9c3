// Inputs that the fuzzer found or started from, kept and replayed.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "tests/io/program/any_program.hpp"

TEST_CASE("programs: the fuzzer's corpus keeps every promise", "[program]") {
  const std::filesystem::path folder = std::filesystem::path(OVOLO_SOURCE_DIR) / "tests/fuzz/corpus/program";
  int files = 0;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    std::ifstream in(entry.path(), std::ios::binary);
    const std::string bytes{std::istreambuf_iterator<char>(in), {}};
    INFO(entry.path());
    ovolo::test::check_any_program(bytes);
    ++files;
  }
  CHECK(files >= 20);
}
