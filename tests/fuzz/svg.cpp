#include <cstddef>
#include <cstdint>
#include <string_view>

#include "io/drawing/drawing.hpp"
#include "io/drawing/half_profile.hpp"
#include "tests/support/any_text.hpp"

// Any bytes as an SVG: an error or a contour, never a crash. What is read must also pass for a bit or be
// refused.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace ovolo::io;
  DrawingChoice choice;
  choice.open = true;
  choice.near = ovolo::Vec2{10, 10};
  try {
    const DrawnContour drawn = choose_contour(
        read_svg({reinterpret_cast<const char*>(data), size}, "fuzz.svg", choice), "fuzz.svg", choice);
    half_profile(drawn, choice, {});
  } catch (const DrawingError& error) {
    ovolo::tests::require_printable(error.what());
  }
  return 0;
}
