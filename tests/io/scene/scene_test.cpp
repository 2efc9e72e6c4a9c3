#include "io/scene/scene.hpp"

#include <catch2/catch.hpp>
#include <filesystem>
#include <numbers>
#include <sstream>
#include <string>

#include "io/scene/starter.hpp"
#include "io/scene/strategies.hpp"
#include "sim/path/plan.hpp"
#include "tests/support/sign_rim.hpp"

using namespace ovolo;
using io::parse_scene;

namespace {

// The smallest scene, with places for what a test adds.
std::string scene_with(const std::string& bits, const std::string& contours, const std::string& operations) {
  return R"(
[stock]
size = [400, 250]
layers = [{ name = "board", thickness = 18 }]
[bits.round5]
form = "point_roundover"
radius = 5
[bits.mill6]
form = "straight"
diameter = 6
)" + bits +
         R"(
[contours.outline]
rectangle = { center = [200, 125], size = [300, 180] }
)" + contours +
         R"(
[[operations]]
name = "rim"
kind = "edge"
bit = "round5"
contour = "outline"
keep = "inside"
depth = 4
)" + operations;
}

Job parse(const std::string& text) { return parse_scene(text, "test.toml", "."); }

std::string complaint(const std::string& text) {
  try {
    parse(text);
  } catch (const io::SceneError& error) {
    return error.what();
  }
  return "";
}

Bit bit_of(const std::string& keys) { return parse(scene_with("[bits.b]\n" + keys, "", "")).bits.back(); }

}  // namespace

TEST_CASE("the contract's example is read to the letter", "[scene]") {
  const Job job = parse(R"(
title = "Trailhead sign"
units = "mm"
[stock]
size = [400, 250]                  # lower left corner at the origin
layers = [                         # from the top face down
  { name = "cap",  thickness = 1.3,  color = "#1f4e3d" },
  { name = "core", thickness = 10.1, color = "#f2ead7" },
  { name = "back", thickness = 1.3,  color = "#1f4e3d" } ]
[bits.round5]
form = "point_roundover"
radius = 5
working_depth = 3.62
flutes = 2
[bits.mill6]
form = "straight"
diameter = 6
)" + ovolo::test::sign_rim() +
                        R"(offset = 0.4
depth = 3.55
passes = [2.4, 3.55]
feed = "1500 mm/min"
spindle = 18000
ramp = 20
)");
  CHECK(job.title == "Trailhead sign");
  CHECK(job.file == "test.toml");
  CHECK_FALSE(job.inch);
  CHECK(job.stock.width == 400);
  CHECK(job.stock.height == 250);
  REQUIRE(job.stock.layers.size() == 3);
  CHECK(job.stock.layers[1].name == "core");
  CHECK(job.stock.layers[1].color == std::array<std::uint8_t, 3>{0xf2, 0xea, 0xd7});
  CHECK(job.stock.thickness() == Approx(12.7).epsilon(1e-12));
  CHECK(job.stock.spoilboard == 1);
  REQUIRE(job.bits.size() == 2);
  CHECK(job.bits[0].id == "round5");
  CHECK(job.bits[0].form == "point_roundover");
  CHECK(job.bits[0].working_depth == 3.62);
  CHECK(job.bits[0].nominal_radius == 5);
  CHECK(job.bits[0].wanted.width == 5);
  REQUIRE(job.bits[0].roundover);
  // Derived: R - sqrt(R^2 - (R - W)^2).
  CHECK(job.bits[0].roundover->tip_radius == Approx(0.1942).margin(5e-5));
  CHECK(job.bits[1].profile.cutting_radius() == 3);
  REQUIRE(job.contours.size() == 1);
  // Derived: the perimeter of a rounded rectangle, 2 (w + h) - 8 r + 2 pi r.
  CHECK(job.contours[0].contour.length() == Approx(960 - 120 + 30 * std::numbers::pi).epsilon(1e-12));
  REQUIRE(job.operations.size() == 1);
  const Operation& op = job.operations[0];
  CHECK(op.kind == OperationKind::edge);
  CHECK(op.bit == 0);
  CHECK(op.contour == 0);
  CHECK(op.keep == Keep::inside);
  CHECK(op.offset == 0.4);
  CHECK(op.depth == 3.55);
  CHECK(op.passes == std::vector<double>{2.4, 3.55});
  CHECK(op.feed == 1500);
  CHECK(op.spindle == 18000);
  CHECK(op.ramp == 20);
  CHECK(op.source.file == "test.toml");
  CHECK(op.source.line == 20);
  CHECK(job.wishes.lip == 0.015);
  CHECK(job.wishes.hidden.empty());
}

TEST_CASE("the starter scene runs as it is", "[scene]") {
  const Job job = parse_scene(io::starter_scene(), "starter.toml", ".");
  CHECK(job.operations.size() == 4);
  CHECK_FALSE(make_plan(job).moves.empty());
  CHECK(job.contours[1].at.size() == 2);
  CHECK(job.wishes.hidden == std::vector<std::string>{"core"});
  // What it calls a default is one.
  const Wishes usual;
  CHECK(job.wishes.lip == usual.lip);
  CHECK(job.wishes.band == usual.band);
  CHECK(job.wishes.face_break == Approx(usual.face_break).epsilon(1e-15));
  CHECK(job.wishes.wall_break == Approx(usual.wall_break).epsilon(1e-15));
  const SettingErrors errors;
  CHECK(job.errors.zero_on == errors.zero_on);
  CHECK(job.errors.z == errors.z);
  CHECK(job.errors.xy == errors.xy);
  CHECK(job.errors.runout == errors.runout);
  CHECK(job.errors.thickness == errors.thickness);
  CHECK(job.errors.readings == kReadingError);
  const Variation variation;
  CHECK(job.variation.z_repeat == variation.z_repeat);
  CHECK(job.variation.xy_repeat == variation.xy_repeat);
  CHECK(job.variation.wear == variation.wear);
  CHECK(job.variation.wear_spread == variation.wear_spread);
  CHECK(job.variation.run_before == variation.run_before);
  CHECK(job.variation.layers == variation.layers);
}

TEST_CASE("the starter scene's tables in remarks hold when they are taken in", "[scene]") {
  std::istringstream lines{std::string(io::starter_scene())};
  std::string text;
  bool in_table = false;
  for (std::string line; std::getline(lines, line);) {
    if (line.starts_with("# [surface]") || line.starts_with("# [[strategies]]")) in_table = true;
    if (!line.starts_with("# ")) in_table = false;
    text += (in_table ? line.substr(2) : line) + "\n";
  }
  const Job job = parse_scene(text, "starter.toml", ".");
  CHECK(job.shape.thickness.size() == 8);
  CHECK(job.shape.spoilboard.size() == 3);
  CHECK(job.shape.lifts.size() == 1);
  CHECK(job.shape.bow == 0.3);
  CHECK(io::parse_strategies(text, "starter.toml", ".").size() == 1);
}

TEST_CASE("every scene of our own is right and can be planned", "[scene]") {
  int scenes = 0;
  for (const auto& entry : std::filesystem::directory_iterator(OVOLO_SOURCE_DIR "/scenes")) {
    if (entry.path().extension() != ".toml") continue;
    CAPTURE(entry.path().filename().string());
    CHECK_FALSE(make_plan(io::read_scene(entry.path())).moves.empty());
    ++scenes;
  }
  CHECK(scenes >= 4);
}

TEST_CASE("units apply to every bare number and to no text", "[scene]") {
  const Job job = parse(R"(
units = "inch"
[stock]
size = ["8 ft", 48]
layers = [{ name = "board", thickness = "18 mm" }]
spoilboard = "1/32 in"
[bits.mill]
form = "straight"
diameter = 0.25
[contours.c]
circle = { center = [10, "254 mm"], diameter = 2 }
[[operations]]
name = "hole"
kind = "cut_out"
bit = "mill"
contour = "c"
keep = "outside"
feed = 60
plunge_feed = "300 mm/min"
)");
  CHECK(job.inch);
  CHECK(job.stock.width == Approx(2438.4).epsilon(1e-14));
  CHECK(job.stock.height == Approx(1219.2).epsilon(1e-14));
  CHECK(job.stock.thickness() == 18);
  CHECK(job.stock.spoilboard == Approx(0.79375).epsilon(1e-14));
  CHECK(job.bits[0].profile.cutting_radius() == Approx(3.175).epsilon(1e-14));
  CHECK(job.contours[0].contour.segments()[0].centre.x == Approx(254).epsilon(1e-14));
  CHECK(job.contours[0].contour.segments()[0].centre.y == 254);
  CHECK(job.contours[0].contour.segments()[0].radius == Approx(25.4).epsilon(1e-14));
  CHECK(job.operations[0].depth == 18);  // the sheet's thickness
  CHECK(job.operations[0].feed == Approx(1524).epsilon(1e-14));
  CHECK(job.operations[0].plunge_feed == 300);
}

TEST_CASE("passes are a count, a list, or one", "[scene]") {
  const auto passes = [](const char* keys) { return parse(scene_with("", "", keys)).operations[0].passes; };
  CHECK(passes("") == std::vector<double>{4});
  CHECK(passes("passes = 4") == std::vector<double>{1, 2, 3, 4});
  CHECK(passes("passes = [1.5, \"3 mm\", 4]") == std::vector<double>{1.5, 3, 4});
  // Depths of a count end on the depth to the bit.
  CHECK(passes("passes = 7").back() == 4);
}

TEST_CASE("each form makes the profile it describes", "[scene]") {
  CHECK(bit_of("form = \"ball\"\ndiameter = 8").profile.height(4) == 4);
  const Bit v = bit_of("form = \"chamfer\"\nangle = 45\ncutting_diameter = 12\ntip_flat = 2");
  CHECK(v.profile.height(6) == Approx(5).epsilon(1e-12));
  CHECK(v.profile.tip_flat_radius() == 1);
  CHECK(v.wanted.width == Approx(5).epsilon(1e-12));
  const Bit cove = bit_of("form = \"cove\"\nradius = 6\ntip_flat = 2");
  CHECK(cove.profile.cutting_radius() == 7);
  CHECK(cove.nominal_radius == 6);
  const Bit ovolo = bit_of("form = \"ovolo\"\nradius = 4\ntip_flat = 6\nfoot_fillet = 1\nface_fillet = 2");
  CHECK(ovolo.profile.cutting_radius() == 8);
  CHECK(ovolo.working_depth == Approx(6).epsilon(1e-12));
  CHECK(ovolo.wanted.depth == Approx(6).epsilon(1e-12));
  CHECK(ovolo.wanted.width == Approx(5).epsilon(1e-12));
  const Bit bead = bit_of("form = \"bead\"\nradius = 4\ntip_flat = 6\nfillet = 1");
  CHECK(bead.profile.cutting_radius() == 8);
  CHECK(bead.working_depth == Approx(5).epsilon(1e-12));
  const Bit ogee = bit_of("form = \"ogee\"\nradius = 3\ncove_radius = 4\ntip_flat = 5");
  CHECK(ogee.profile.cutting_radius() == 9.5);
  CHECK(ogee.working_depth == Approx(7).epsilon(1e-12));
  // Drawn: the quarter round of radius 4 beside a level tip of radius 2.
  const Bit drawn = bit_of(
      "form = \"drawn\"\nchain = [[0, 0], [2, 0], { to = [6, 4], center = [6, 0], turn = \"right\" }, [6, "
      "9]]");
  CHECK(drawn.profile.tip_flat_radius() == 2);
  CHECK(drawn.profile.cutting_radius() == 6);
  CHECK(drawn.profile.height(4) == Approx(std::sqrt(12.0)).epsilon(1e-12));  // derived: sqrt(4^2 - 2^2)
  CHECK(drawn.working_depth == Approx(4).epsilon(1e-12));
}

TEST_CASE("a cutting wall ends at the cutting length, or outlasts any cut", "[scene]") {
  const auto top = [](const char* keys) { return bit_of(keys).profile.chain().back().b.y; };
  CHECK(top("form = \"straight\"\ndiameter = 6") >= 19);
  CHECK(top("form = \"straight\"\ndiameter = 6\ncutting_length = 22") == 22);
  CHECK(top("form = \"cove\"\nradius = 5\ncutting_length = 12") == 12);
  CHECK(top("form = \"drawn\"\nchain = [[0, 0], [3, 0], [5, 4], [5, 7]]\ncutting_length = 12") == 12);
}

TEST_CASE("readings of a roundover carry their disagreement", "[scene]") {
  const std::string readings =
      "form = \"point_roundover\"\nradius = 5\nworking_depth = 3.62\ntip_flat = 0.39\n";
  CHECK(bit_of(readings + "cutting_diameter = 10").roundover->disagreement.empty());
  CHECK_FALSE(bit_of(readings + "cutting_diameter = 11").roundover->disagreement.empty());
}

TEST_CASE("polylines take arcs by bulge, by center and by radius", "[scene]") {
  const auto contour = [](const std::string& keys) {
    return parse(scene_with("", "[contours.d]\n" + keys, "")).contours.back().contour;
  };
  // One half circle of radius 20, written in three ways: derived length 40 + 20 pi.
  for (const char* arc :
       {"{ to = [100, 120], bulge = 1 }", "{ to = [100, 120], center = [100, 100], turn = \"left\" }",
        "{ to = [100, 120], radius = 20, turn = \"left\" }"}) {
    CAPTURE(arc);
    const Contour half = contour(std::string("polyline = [[100, 80], ") + arc + "]");
    CHECK(half.closed());
    CHECK(half.length() == Approx(40 + 20 * std::numbers::pi).epsilon(1e-12));
    CHECK(half.box().hi.x == Approx(120).epsilon(1e-12));
  }
  const Contour open = contour("polyline = [[100, 80], [200, 80], [200, 90]]\nclosed = false");
  CHECK_FALSE(open.closed());
  CHECK(open.length() == Approx(110).epsilon(1e-12));
  // A whole circle, as one arc that ends where it began.
  const Contour whole =
      contour("polyline = [[100, 80], { to = [100, 80], center = [100, 100], turn = \"right\" }]");
  CHECK(whole.length() == Approx(40 * std::numbers::pi).epsilon(1e-12));
}

TEST_CASE("bits and contours keep the order of the file", "[scene]") {
  const Job job = parse(scene_with("[bits.a]\nform = \"ball\"\ndiameter = 3",
                                   "[contours.a]\ncircle = { center = [9, 9], radius = 2 }", ""));
  REQUIRE(job.bits.size() == 3);
  CHECK(job.bits[0].id == "round5");
  CHECK(job.bits[2].id == "a");
  CHECK(job.contours[1].id == "a");
}

TEST_CASE("a pass begins at a length or near a point", "[scene]") {
  // The rectangle starts at its lower left corner and runs to the right along y = 35.
  CHECK(parse(scene_with("", "", "start = 12.5")).operations[0].start == 12.5);
  CHECK(parse(scene_with("", "", "start = [150, 10]")).operations[0].start == Approx(100).epsilon(1e-12));
}

TEST_CASE("what an operation does not say has a sensible value", "[scene]") {
  const Job job = parse(scene_with("[bits.b]\nform = \"ball\"\ndiameter = 8", "", R"(
[[operations]]
name = "pocket"
kind = "pocket"
bit = "mill6"
contour = "outline"
depth = 3
feed = 1000
[[operations]]
name = "ball pocket"
kind = "pocket"
bit = "b"
contour = "outline"
depth = 3
)"));
  const Operation& rim = job.operations[0];
  CHECK(rim.offset == 0);
  CHECK(rim.feed == 0);
  CHECK(rim.ramp == 0);
  CHECK(rim.direction == Direction::conventional);
  CHECK(rim.corner == Corner::round);
  CHECK_FALSE(rim.wanted);
  CHECK(job.operations[1].keep == Keep::outside);
  CHECK(job.operations[1].stepover == Approx(2.4).epsilon(1e-12));
  CHECK(job.operations[1].plunge_feed == 1000);
  CHECK(job.operations[2].stepover == Approx(0.8).epsilon(1e-12));
}

TEST_CASE("everything wrong is told at once, in the order of the file", "[scene]") {
  CHECK(complaint(R"(titel = "x"
[stock]
size = [400, -1]
layers = [{ name = "board", thickness = nan }]
[bits.round5]
form = "point_roundover"
raduis = 5
[contours.outline]
circle = { center = [200, 125], radius = "5 miles" }
[[operations]]
name = "rim"
kind = "edge"
bit = "round6"
contour = "outline"
keep = "inside"
depth = 4
fed = 3
)") == "test.toml:1:1: unknown key `titel` in the scene; did you mean `title`?\n"
       "test.toml:3:14: the second of `size` of the stock is -1 mm; set it above 0 mm\n"
       "test.toml:4:41: `thickness` of layer 1 is not a finite number; write a length such as 6.35 or \"1/4 "
       "in\"\n"
       "test.toml:5:1: `radius` is missing in bit `round5`; add a length: radius = 6.35, or \"1/4 in\"\n"
       "test.toml:7:1: unknown key `raduis` in bit `round5`; did you mean `radius`?\n"
       "test.toml:9:42: `radius` of the circle of contour `outline`: \"5 miles\" has the unknown unit "
       "\"miles\" (known: "
       "mm, cm, m, um, in, thou or ft); write a length such as \"6.35 mm\" or \"1/4 in\"\n"
       "test.toml:13:7: unknown bit `round6`; did you mean `round5`?\n"
       "test.toml:17:1: unknown key `fed` in operation \"rim\"; did you mean `feed`?");
}

TEST_CASE("a scene that cannot be read says so without a line", "[scene]") {
  CHECK_THROWS_WITH(
      io::read_scene("no/such/scene.toml"),
      "no/such/scene.toml: cannot be read (No such file or directory); check its name and its rights");
  CHECK_THROWS_WITH(io::read_scene(OVOLO_SOURCE_DIR), Catch::EndsWith("it is a folder; name a file in it"));
  CHECK_THROWS_WITH(io::read_scene("/dev/zero"), Catch::EndsWith("leave out what is not needed"));
}

TEST_CASE("no scene eats memory or hangs", "[scene]") {
  CHECK(complaint(std::string(std::size_t{17} << 20, '#')).find("16777216") != std::string::npos);
  CHECK(complaint(std::string(1'000'000, '.')).find("dots") != std::string::npos);
  CHECK(complaint(std::string("a = ").append(100'000, '[')).find("nested value depth") != std::string::npos);
  CHECK(complaint(std::string("a = ").append(100, '[').append(100, ']')).find("32 deep") !=
        std::string::npos);
  std::string many = "a = [";
  for (int i = 0; i < 1'500'000; ++i) many += "1,";
  CHECK(complaint(many).find("1000000 values") != std::string::npos);
  std::string keys;
  for (int i = 0; i < 100'000; ++i) keys += "key" + std::to_string(i) + " = 1\n";
  const std::string message = complaint(keys);
  CHECK(message.find("more than 1000 mistakes") != std::string::npos);
  CHECK(message.size() < 1'000'000);
  // A thousand passes on ten thousand copies of a rectangle.
  std::string copies = "at = [";
  for (int i = 0; i < 10'000; ++i) copies += "[0, 0],";
  CHECK(complaint(scene_with("", copies + "]", "passes = 1000")).find("pieces of path") != std::string::npos);
}

TEST_CASE("columns count letters, not bytes", "[scene]") {
  CHECK(complaint("title = \"h\xC3\xA9\" x\n").starts_with("test.toml:1:14:"));
  CHECK(complaint("title = \"h\xC3\xA9\xE9\"\n").starts_with("test.toml:1:12:"));
}
