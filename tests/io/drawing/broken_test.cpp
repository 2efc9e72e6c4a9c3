#include <catch2/catch.hpp>
#include <fstream>
#include <set>

#include "io/drawing/drawing.hpp"

using namespace ovolo::io;

// tests/io/drawing/broken holds one broken drawing a file; expected.txt the message for each, its place
// included.
TEST_CASE("every broken drawing is refused with its place, the reason and the mend") {
  const std::string folder = std::string(OVOLO_SOURCE_DIR) + "/tests/io/drawing/broken/";
  std::ifstream expected(folder + "expected.txt");
  std::string line;
  int count = 0;
  while (std::getline(expected, line)) {
    const std::string name = line.substr(0, line.find(':'));
    CAPTURE(name);
    std::string message = "(it was read)";
    try {
      read_contour(folder + name, {});
    } catch (const DrawingError& e) {
      message = e.what();
    }
    CHECK(message == folder + line);
    ++count;
  }
  CHECK(count >= 80);
}
