// A kept bit as a scene holds it.
#include <catch2/catch.hpp>
#include <string>

#include "io/bits/bits_file.hpp"
#include "io/bits/inline_bit.hpp"
#include "io/error.hpp"
#include "io/scene/scene.hpp"
#include "tests/support/command.hpp"

using namespace ovolo::io;

namespace {

const std::string kBits = R"(# The shop's.
units = "mm"
[bits.round5]                      # slender
form = "point_roundover"
radius = 5
date = 2024-05-02
readings = [
  { what = "working_depth", value = 3.66, error = 0.03, date = 2023-11-20, run = 120 },  # worn since
  { what = "working_depth", value = 3.62, error = "1 thou" } ]
flutes = 3   # ground anew
max_spindle = 24000
[bits."odd name"]
form = "dovetail"
angle = 14
cutting_diameter = 12.7
height = 9
[bits.vee]
form = "drawn"
[bits.vee.drawn]
svg = "vee.svg"
id = "vee"
)";

const std::string kScene = R"([stock]
size = [400, 250]
layers = [ { name = "board", thickness = 12 } ]
[contours.c]
circle = { center = [200, 120], radius = 50 }
[[operations]]
name = "rim"
kind = "edge"
bit = "round5"
contour = "c"
keep = "inside"
depth = 3
)";

}  // namespace

TEST_CASE("a kept bit is written out as it stands in its file", "[bits]") {
  CHECK(inline_bit(kBits, "shop.toml", "round5", Units::mm, "") == R"([bits.round5]
instead_of_kept = true
form = "point_roundover"
radius = 5
date = 2024-05-02
readings = [
  { what = "working_depth", value = 3.66, error = 0.03, date = 2023-11-20, run = 120 },  # worn since
  { what = "working_depth", value = 3.62, error = "1 thou" } ]
flutes = 3   # ground anew
max_spindle = 24000
)");
  CHECK(inline_bit(kBits, "shop.toml", "gone", Units::mm, "").empty());
  CHECK_THROWS_AS(inline_bit("[bits", "shop.toml", "gone", Units::mm, ""), SceneError);
}

TEST_CASE("a kept bit in a scene of other units or in another folder says the same", "[bits]") {
  const std::string inches = inline_bit(kBits, "shop.toml", "round5", Units::inch, "");
  CHECK(inches.find("radius = \"5 mm\"") != std::string::npos);
  CHECK(inches.find("value = \"3.66 mm\", error = \"0.03 mm\", date = 2023-11-20, run = 120") !=
        std::string::npos);
  CHECK(inches.find("flutes = 3") != std::string::npos);
  CHECK(inches.find("max_spindle = 24000") != std::string::npos);
  const std::string tail = inline_bit(kBits, "shop.toml", "odd name", Units::inch, "");
  CHECK(tail.find("[bits.\"odd name\"]") == 0);
  CHECK(tail.find("angle = 14\n") != std::string::npos);
  const std::string vee = inline_bit(kBits, "shop.toml", "vee", Units::mm, "bits");
  CHECK(vee.find("drawn = { svg = \"bits/vee.svg\", id = \"vee\" }\n") != std::string::npos);
}

TEST_CASE("a scene's own bit is used instead of the kept one where it says so", "[bits]") {
  const ovolo::tests::TemporaryFolder folder;
  ovolo::tests::write_text(folder.path() / "shop.toml",
                           "[bits.round5]\nform = \"point_roundover\"\nradius = 5\nworking_depth = 3.62\n");
  const auto with = [&](const std::string& bits) {
    return parse_scene("bits_file = \"shop.toml\"\n" + bits + kScene, "scene.toml", folder.path());
  };
  CHECK(with("").bits.at(0).working_depth == Approx(3.62));
  const std::string own = "form = \"point_roundover\"\nradius = 5\nworking_depth = 3.3\n";
  const ovolo::Job job = with("[bits.round5]\ninstead_of_kept = true\n" + own);
  REQUIRE(job.bits.size() == 1);
  CHECK(job.bits[job.operations[0].bit].working_depth == Approx(3.3));
  CHECK_THROWS_WITH(with("[bits.round5]\n" + own),
                    Catch::Contains("stands in") && Catch::Contains("instead_of_kept"));
  CHECK_THROWS_WITH(with("[bits.other]\ninstead_of_kept = true\n" + own),
                    Catch::StartsWith("scene.toml:2:1: bit `other` has `instead_of_kept`"));
  // In the bits file itself it has no meaning.
  CHECK_THROWS_WITH(
      parse_bits("[bits.round5]\ninstead_of_kept = true\n" + own, "shop.toml", folder.path(), {}),
      Catch::Contains("instead_of_kept"));
}
