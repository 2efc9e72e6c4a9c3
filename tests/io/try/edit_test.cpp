// Values of a scene set in place.
#include <catch2/catch.hpp>
#include <string>

#include "io/error.hpp"
#include "io/try/edit.hpp"

using namespace ovolo::io;

namespace {

const std::string kScene = R"(# Grüße, a comment
title = "Sign"   # depth = 9
[stock]
layers = [ { name = "ä", thickness = 3.1, color = "#1f4e3d" }, # thickness
  { name = "core", thickness = "1/4 in" } ]
[bits.round5]    # the shop's
radius = 5
[contours.outline]
rectangle = { center = [200, 125], size = [300,
  180], corner_radius = 15 }   # wide
at = [[0, 0]]
[[operations]]
name = "one"
depth = 1
[[operations]]
name = "two"
passes = [2.4, # first
  3.55]
depth = 3.55 # last
)";

std::string edited(const std::vector<Edit>& edits) { return edit_scene(kScene, "scene.toml", edits); }

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

}  // namespace

TEST_CASE("an edit changes its value and nothing else", "[try]") {
  CHECK(edited({}) == kScene);
  CHECK(edited({{"operations/1/depth", "3.62"}}) == replaced(kScene, "depth = 3.55 #", "depth = 3.62 #"));
  CHECK(edited({{"operations/0/depth", " 1/4 in "}}) ==
        replaced(kScene, "depth = 1\n", "depth = \"1/4 in\"\n"));
  CHECK(edited({{"operations/1/passes", "2, 3.5"}}) ==
        replaced(kScene, "[2.4, # first\n  3.55]", "[2, 3.5]"));
  CHECK(edited({{"stock/layers/0/thickness", "2"}}) ==
        replaced(kScene, "thickness = 3.1,", "thickness = 2,"));
  CHECK(edited({{"stock/layers/1/thickness", "2"}}) ==
        replaced(kScene, "thickness = \"1/4 in\" }", "thickness = 2 }"));
  CHECK(
      edited({{"stock/layers/0/thickness", "2"}, {"operations/1/depth", "3"}, {"bits/round5/radius", "4"}}) ==
      replaced(
          replaced(replaced(kScene, "thickness = 3.1,", "thickness = 2,"), "depth = 3.55 #", "depth = 3 #"),
          "radius = 5\n", "radius = 4\n"));
}

TEST_CASE("a value is replaced to its end, whatever its quotes and blanks", "[try]") {
  const std::string text =
      "title = \"\"\"a \\\"b\" ]\nc\"\"\"  # of two lines\ndate = 2024-05-02 10:00:00   # a time\n"
      "note = ''\nlist = [ '''x]'y''', 2 ]\n";
  const auto with = [&](const std::string& key) { return edit_scene(text, "scene.toml", {{key, "1"}}); };
  CHECK(with("title") == replaced(text, "\"\"\"a \\\"b\" ]\nc\"\"\"", "1"));
  CHECK(with("date") == replaced(text, "2024-05-02 10:00:00", "1"));
  CHECK(with("note") == replaced(text, "''\n", "1\n"));
  CHECK(with("list") == replaced(text, "[ '''x]'y''', 2 ]", "1"));
}

TEST_CASE("a missing key is added under its table's header", "[try]") {
  CHECK(edited({{"bits/round5/tip_flat", "0.4"}}) ==
        replaced(kScene, "# the shop's\n", "# the shop's\ntip_flat = 0.4\n"));
  CHECK(edited({{"operations/1/offset", "0.4"}}) ==
        replaced(kScene, "[[operations]]\nname = \"two\"", "[[operations]]\noffset = 0.4\nname = \"two\""));
}

TEST_CASE("a drawing takes the place of a contour's shape", "[try]") {
  CHECK(edited({{"contours/outline/drawing", "rim.svg"}}) ==
        replaced(kScene, "rectangle = { center = [200, 125], size = [300,\n  180], corner_radius = 15 }",
                 "svg = \"rim.svg\""));
  CHECK_THROWS_AS(edited({{"contours/gone/drawing", "rim.svg"}}), EditError);
}

TEST_CASE("what cannot be written is refused with its place", "[try]") {
  const auto path_of = [](const Edit& edit) {
    try {
      edited({edit});
    } catch (const EditError& e) {
      return e.path();
    }
    return std::string("nothing refused");
  };
  CHECK(path_of({"operations/1/depth", "  "}) == "operations/1/depth");
  CHECK(path_of({"operations/1/depth", "1\n[evil]"}) == "operations/1/depth");
  CHECK(path_of({"operations/7/depth", "1"}) == "operations/7/depth");
  CHECK(path_of({"bits/other/radius", "1"}) == "bits/other/radius");
  CHECK(path_of({"operations/1/passes", "1,,2"}) == "operations/1/passes");
  CHECK(path_of({"operations/1/depth", std::string(5000, '1')}) == "operations/1/depth");
  CHECK_THROWS_AS(edit_scene("a = [", "scene.toml", {}), SceneError);
  // Quotes and backslashes stay inside the text.
  CHECK(edited({{"title", "a\"b\\c"}}) == replaced(kScene, "\"Sign\"", "\"a\\\"b\\\\c\""));
}

TEST_CASE("a number that stands among a bit's readings takes their place", "[try]") {
  const std::string scene = R"([bits.round5]
radius = 5
readings = [
  { what = "working_depth", value = 3.66, date = 2023-11-20 },   # worn since
  { what = "tip_flat", value = 0.4 },
  { what = "working_depth", value = 3.62, error = "1 thou", date = 2024-05-02 } ]   # last
)";
  const std::string changed = edit_scene(scene, "s.toml", {{"bits/round5/working_depth", "3.5"}});
  CHECK(changed == R"([bits.round5]
radius = 5
readings = [
  { what = "tip_flat", value = 0.4 },
  { what = "working_depth", value = 3.5, error = "1 thou" } ]   # last
)");
  const auto at = edit_places(changed, "s.toml", {{"bits/round5/working_depth", "3.5"}});
  CHECK(at.at(0).value == Place{5, 37});
  CHECK(at.at(0).table == Place{1, 1});
}

TEST_CASE("a count of passes keeps what else is said of them", "[try]") {
  const std::string scene =
      "[[operations]]\npasses = { balanced = 2, finish = 0.2 }\n[[operations]]\npasses = { count = 1 }\n";
  CHECK(edit_scene(scene, "s.toml", {{"operations/0/passes", "3"}, {"operations/1/passes", "4"}}) ==
        replaced(replaced(scene, "balanced = 2", "balanced = 3"), "count = 1", "count = 4"));
  CHECK(edit_scene(scene, "s.toml", {{"operations/0/passes", "2, 3"}}) ==
        replaced(scene, "{ balanced = 2, finish = 0.2 }", "[2, 3]"));
}
