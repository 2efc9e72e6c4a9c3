// Settings written into a scene's own text.
#include <catch2/catch.hpp>
#include <filesystem>
#include <string>

#include "io/error.hpp"
#include "io/scene/rewrite.hpp"
#include "io/scene/scene.hpp"

using namespace ovolo;
using io::with_settings;

namespace {

std::string scene_of(const std::string& operation, const std::string& units = "mm") {
  return "units = \"" + units + R"("
# a comment with "quotes" and [brackets]
[stock]
size = ["400 mm", "250 mm"]
layers = [{ name = "Zierschicht – weiß", thickness = "18 mm" }]
[bits.round5]
form = "point_roundover"
radius = "5 mm"
working_depth = "3.62 mm"
[contours.outline]
rectangle = { center = ["200 mm", "125 mm"], size = ["300 mm", "180 mm"] }
)" + operation;
}

const std::string kRim = R"([[operations]]
name = "rim"
kind = "edge"
bit = "round5"
contour = "outline"
keep = "inside"
)";

void contains(const std::string& text, const std::string& part) {
  INFO(text);
  CHECK(text.find(part) != std::string::npos);
}

Job parse(const std::string& text) {
  return io::parse_scene(text, "new.toml", std::filesystem::temp_directory_path());
}

}  // namespace

TEST_CASE("only the settings change, comments keep their column", "[scene][advise]") {
  const std::string before = scene_of(kRim +
                                      "offset = 0.4          # off the line\n"
                                      "depth = 5             # too deep\n"
                                      "passes = [ 2.4, 5 ]   # two\n# the end\n");
  const std::string after = with_settings(before, "s.toml", {{0, 3.5421, 0.2817}});
  contains(after, "offset = 0.282        # off the line\n");
  contains(after, "depth = 3.542         # too deep\n");
  contains(after, "passes = [ 2.4, 3.542 ]   # two\n# the end\n");
  const Job job = parse(after);
  CHECK(job.operations[0].depth == Approx(3.542));
  CHECK(job.operations[0].offset == Approx(0.282));
  CHECK(job.operations[0].passes == std::vector<double>{2.4, 3.542});
  // What is not a setting is the same to the byte.
  CHECK(after.substr(0, after.find("offset")) == before.substr(0, before.find("offset")));
}

TEST_CASE("lengths keep their unit", "[scene][advise]") {
  const std::string thou =
      with_settings(scene_of(kRim + "offset = '10 thou'\ndepth = \"0.2 in\"\n"), "s", {{0, 3.556, 0.508}});
  contains(thou, "offset = \"20 thou\"\n");
  contains(thou, "depth = \"0.14 in\"\n");
  const std::string inch =
      with_settings(scene_of(kRim + "offset = 0.01\ndepth = 0.2\n", "inch"), "s", {{0, 3.556, 0.508}});
  contains(inch, "offset = 0.02\n");
  contains(inch, "depth = 0.14\n");
  contains(
      with_settings(scene_of(kRim + "offset = \"0.4 mm\"\ndepth = \"5mm\"\n", "inch"), "s", {{0, 3.5, 0.3}}),
      "offset = \"0.3 mm\"\ndepth = \"3.5 mm\"\n");
}

TEST_CASE("a missing offset is added, passes that are too deep go", "[scene][advise]") {
  const std::string text =
      with_settings(scene_of(kRim + "  depth = 5\n  passes = [2, 3.6, 4.5, 5]\n"), "s", {{0, 3.55, 0.3}});
  contains(text, "  offset = 0.3\n  depth = 3.55\n");
  contains(text, "passes = [2, 3.55]\n");
  CHECK(parse(text).operations[0].passes == std::vector<double>{2, 3.55});
  const std::string count = with_settings(scene_of(kRim + "depth = 5\npasses = 3\n"), "s", {{0, 3.6, 0}});
  contains(count, "passes = 3\n");
  CHECK(count.find("offset") == std::string::npos);
  const std::string in_line =
      R"(operations = [{ name = "rim", kind = "edge", bit = "round5", contour = "outline", keep = "inside", depth = 5 }]
)";
  const std::string start = scene_of("");
  const std::string whole =
      start.substr(0, start.find("[stock]")) + in_line + start.substr(start.find("[stock]"));
  contains(with_settings(whole, "s", {{0, 3.6, 0.2}}), "depth = 3.6, offset = 0.2 }]");
}

TEST_CASE("what is no scene is refused", "[scene]") {
  CHECK_THROWS_AS(with_settings("[stock]\n", "s", {{0, 1, 1}}), io::SceneError);
  CHECK_THROWS_AS(with_settings(scene_of(kRim), "s", {{0, 1, 1}}), io::SceneError);
  CHECK_THROWS_AS(with_settings("no toml at all", "s", {}), io::SceneError);
}
