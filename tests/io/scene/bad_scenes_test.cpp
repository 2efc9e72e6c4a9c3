#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "io/scene/scene.hpp"

// Every file of tests/scenes_bad is wrong, and says at its top what is to be told: one line
//   # expect: LINE:COLUMN: what is wrong; how to mend it
// for each message, in their order. One that ends in "..." is the beginning of the message: lists of keys grow.

namespace {

namespace fs = std::filesystem;

std::vector<std::string> expected(const fs::path& path) {
  constexpr std::string_view kMark = "# expect: ";
  std::vector<std::string> lines;
  std::ifstream in(path, std::ios::binary);
  for (std::string line; std::getline(in, line);)
    if (line.starts_with(kMark)) lines.push_back(line.substr(kMark.size()));
  return lines;
}

std::vector<std::string> told(const fs::path& path) {
  std::vector<std::string> lines;
  try {
    ovolo::io::read_scene(path);
  } catch (const ovolo::io::SceneError& error) {
    const std::string file = path.string() + ":";
    for (const auto& fault : error.faults()) {
      const std::string line = fault.str();
      lines.push_back(line.starts_with(file) ? line.substr(file.size()) : line);
    }
  }
  return lines;
}

// What is told, cut short where less is expected.
std::vector<std::string> told_of(const fs::path& path, const std::vector<std::string>& wanted) {
  std::vector<std::string> lines = told(path);
  for (std::size_t i = 0; i < lines.size() && i < wanted.size(); ++i) {
    const std::string& line = wanted[i];
    if (line.ends_with("...") && lines[i].starts_with(line.substr(0, line.size() - 3))) lines[i] = line;
  }
  return lines;
}

}  // namespace

TEST_CASE("bad scenes are told what is wrong, where, and how to mend it", "[scene][bad]") {
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(OVOLO_SOURCE_DIR "/tests/scenes_bad"))
    if (entry.path().extension() == ".toml") files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  CHECK(files.size() >= 60);
  for (const fs::path& file : files) {
    CAPTURE(file.filename().string());
    const std::vector<std::string> wanted = expected(file);
    CHECK_FALSE(wanted.empty());
    CHECK(told_of(file, wanted) == wanted);
  }
}
