#pragma once
#include <string>

namespace ovolo::test {

/// A scene's sign outline on a sheet of 400 x 250 mm, and the edge round it up to `keep`, by the bit `round5`;
/// the caller's keys of the operation follow.
inline std::string sign_rim() {
  return R"([contours.outline]
rectangle = { center = [200, 125], size = [300, 180], corner_radius = 15 }
[[operations]]
name = "round the rim"
kind = "edge"
bit = "round5"
contour = "outline"
keep = "inside"
)";
}

}  // namespace ovolo::test
