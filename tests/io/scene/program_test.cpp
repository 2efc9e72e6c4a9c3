// Program operations of a scene.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "io/report/program.hpp"
#include "io/scene/scene.hpp"
#include "sim/measure/verdict.hpp"
#include "sim/path/plan.hpp"
#include "sim/path/program_checks.hpp"

using namespace ovolo;

namespace {

const std::filesystem::path kScenes = std::filesystem::path(OVOLO_SOURCE_DIR) / "scenes";

// A scene whose only operation has the given keys.
std::string scene(const std::string& keys) {
  return R"(units = "mm"
[stock]
size = [400, 250]
layers = [ { name = "board", thickness = 12.7, color = "#c8a06a" } ]
[bits.round5]
form = "point_roundover"
radius = 5
working_depth = 3.62
[bits.mill6]
form = "straight"
diameter = 6
[contours.outline]
rectangle = { center = [200, 125], size = [300, 180], corner_radius = 15 }
[[operations]]
name = "by program"
kind = "program"
)" + keys;
}

Job job_of(const std::string& keys) { return io::parse_scene(scene(keys), "test.toml", kScenes); }

std::string error_of(const std::string& keys, const std::filesystem::path& folder = kScenes) {
  try {
    io::parse_scene(scene(keys), "test.toml", folder);
  } catch (const io::SceneError& e) {
    return e.what();
  }
  return {};
}

const std::string kRim = R"(program = "programs/trailhead-rim.ngc"
tools = { 1 = "round5" }
place = [50, 35]
zero = "face"
contour = "outline"
keep = "inside"
)";

/// A folder that goes away with its program.
struct ProgramFile {
  std::filesystem::path folder;
  explicit ProgramFile(const std::string& text) {
    folder = std::filesystem::temp_directory_path() /
             ("ovolo_program_" + std::to_string(std::hash<std::string>{}(text)));
    std::filesystem::create_directories(folder);
    std::ofstream(folder / "p.ngc") << text;
  }
  ~ProgramFile() { std::filesystem::remove_all(folder); }
};

Job job_of(const ProgramFile& file, const std::string& keys) {
  return io::parse_scene(scene("program = \"p.ngc\"\n" + keys), "test.toml", file.folder);
}

}  // namespace

TEST_CASE("program operations: the trailhead sign's rim", "[scene][program]") {
  const Job job = job_of(kRim);
  const Operation& op = job.operations[0];
  CHECK(op.kind == OperationKind::program);
  CHECK(op.program_zero.x == 50);
  CHECK(op.program_zero.y == 35);
  CHECK(op.contour == 0);
  CHECK(op.bit == 0);
  CHECK(op.depth == Approx(3.55).margin(1e-9));
  CHECK(op.offset == Approx(0.4).margin(1e-9));
  CHECK(op.feed == 1500);
  CHECK(op.spindle == 18000);
  CHECK(op.remarks.empty());
  REQUIRE(op.notes.size() == 2);  // its messages
  CHECK(op.notes[0].find("first pass") != std::string::npos);
  CHECK(program_warnings(job, make_plan(job)).empty());

  // The same rim with cutter compensation, in inches, by expressions.
  std::string keys = kRim;
  keys.replace(keys.find("rim.ngc"), 7, "rim-compensated.ngc");
  keys.replace(keys.find("\"round5\""), 8, "{ bit = \"round5\", diameter = 0.8 }");
  const Job other = job_of(keys);
  CHECK(other.operations[0].depth == Approx(3.55).margin(1e-9));
  CHECK(other.operations[0].offset == Approx(0.4).margin(1e-9));
  CHECK(program_warnings(other, make_plan(other)).empty());
  EdgeMeasures edge;
  edge.copies = {{0, 0}};
  const auto path = io::program_path(other, edge);
  REQUIRE(path);
  CHECK(path->reached == Approx(path->length));
  CHECK(path->offset.max == Approx(0.4).margin(1e-9));
  CHECK(path->depth.min == Approx(3.55).margin(1e-9));
}

TEST_CASE("program operations: a careless program is warned of", "[scene][program]") {
  std::string keys = kRim;
  keys.replace(keys.find("rim.ngc"), 7, "rim-careless.ngc");
  const Job job = job_of(keys);
  CHECK(job.operations[0].offset == Approx(0).margin(1e-9));
  CHECK(job.operations[0].depth == Approx(5));
  std::vector<std::string> codes;
  for (const Warning& w : program_warnings(job, make_plan(job))) {
    codes.push_back(w.code);
    CHECK(w.operation == 0);
    CHECK(w.source.line > 0);
    CHECK(w.source.file.ends_with("trailhead-rim-careless.ngc"));
  }
  CHECK(codes == std::vector<std::string>{"units-not-told", "spindle-stopped", "rapid-through-material",
                                          "slender-plunge"});
  // The rapid is in no measure, so that the edge cannot be called good.
  Measures measures;
  measures.edges.resize(1);
  judge_programs(job, program_warnings(job, make_plan(job)), measures);
  CHECK(measures.warnings.size() == codes.size());
  CHECK_FALSE(measures.edges[0].verdict.good);
  CHECK_FALSE(measures.verdict.good);
  CHECK(measures.verdict.text.find("drives a rapid through the material") != std::string::npos);
}

TEST_CASE("program operations: where zero is, which tool, which parameters", "[scene][program]") {
  const ProgramFile file("G0 X0 Y0 Z20\nG43 H2 G0 Z5\nG1 Z[0 - #100] F600\nG55 X1\nG0 Z20\nM2\n");
  const std::string tools =
      "tools = { 1 = { bit = \"round5\", length = 40 }, 2 = { bit = \"mill6\", length = 50 } }\n"
      "in_spindle = 2\nplace = [10, 20]\nparameters = { 100 = 2 }\n"
      "machine_coordinates = { zero = [100, 100, -50], g55 = [130, 100, -50] }\nstart = [0, 0, 60]\n";
  const Job face = job_of(file, tools + "zero = \"face\"\n");
  const auto& motions = face.operations[0].program;
  REQUIRE(motions.size() == 5);
  CHECK(motions[2].z1 == Approx(-2));
  CHECK(motions[2].bit == 1);
  CHECK(motions[2].path.a == Vec2{10, 20});
  CHECK(motions[3].path.b.x == Approx(41));
  CHECK(motions[3].line == 4);
  CHECK(job_of(file, tools + "zero = \"spoilboard\"\n").operations[0].program[2].z1 == Approx(-14.7));
  CHECK(job_of(file, tools + "zero = \"face\"\nunits = \"inch\"\n").operations[0].program[2].z1 ==
        Approx(-50.8));
}

TEST_CASE("program operations: what is wrong with them", "[scene][program]") {
  const auto has = [](const std::string& error, const std::string& text) {
    INFO(error);
    CHECK(error.find(text) != std::string::npos);
  };
  const std::string none = error_of("");
  has(none, "`program` is missing");
  has(none, "`tools` is missing");
  has(none, "`place` is missing");
  has(none, "`zero` is missing");
  has(error_of(kRim + "depth = 3\n"), "test.toml:23:1: unknown key `depth`");
  std::string keys = kRim;
  keys.replace(keys.find("1 = \"round5\""), 12, "1 = \"round6\"");
  has(error_of(keys), "test.toml:18:15: unknown bit `round6`");
  keys = kRim;
  keys.replace(keys.find("1 = "), 4, "x = ");
  has(error_of(keys),
      "`x` in the tools of operation \"by program\" should be a whole number from 1 to 99999");
  keys = kRim;
  keys.replace(keys.find("1 = "), 4, "2 = ");
  has(error_of(keys), "trailhead-rim.ngc:5:4: tool 1 is changed to, but no bit of the scene is given for it");
  keys = kRim;
  keys.replace(keys.find("trailhead-rim"), 13, "no-such-rim");
  has(error_of(keys), "test.toml:17:11: ");
  has(error_of(kRim + "bit = \"mill6\"\n"), "none of the operation's tools");
  has(error_of(kRim + "in_spindle = 4\n"), "none of the operation's tools");
  has(error_of(kRim + "start = [1, 2]\n"), "write three: [x, y, z]");
  has(error_of(kRim + "parameters = { 5221 = 3 }\n"), "machine's coordinates");
  has(error_of(kRim + "machine_coordinates = { g55 = [1, 2, 3] }\n"), "`zero` is missing");
  has(error_of("program = \"programs/trailhead-rim.ngc\"\ntools = { 1 = \"round5\", 2 = \"mill6\" }\nplace = "
               "[50, 35]\n"
               "zero = \"face\"\ncontour = \"outline\"\nkeep = \"inside\"\n"),
      "add which one makes the edge: bit = \"round5\"");
  // Within the program: its own file, line and column.
  const ProgramFile file("G21 G0 X0 Y0 Z5\nG1 X[1/0] F9\nM2\n");
  has(error_of("program = \"p.ngc\"\ntools = { 1 = \"round5\" }\nplace = [50, 35]\nzero = \"face\"\n",
               file.folder),
      "p.ngc:2:7: division by zero");
}

TEST_CASE("program operations: a program that misses its contour", "[scene][program]") {
  std::string keys = kRim;
  keys.replace(keys.find("[50, 35]"), 8, "[500, 3]");
  const Job job = job_of(keys);
  std::vector<std::string> codes;
  for (const Warning& w : program_warnings(job, make_plan(job))) codes.push_back(w.code);
  CHECK(codes == std::vector<std::string>{"program-misses-contour", "beyond-sheet", "misses-sheet"});
}

TEST_CASE("program operations: after a turn the machine's places are mirrored onto the sheet",
          "[scene][program][folded]") {
  // Along the outline's left side as the turned sheet lies: at machine x 350 turned about Y, the sheet's
  // x 50.
  const ProgramFile file("G21 G90 G0 Z5\nX349.6 Y60\nG1 Z-3 F600 S18000 M3\nY190 F1500\nG0 Z5\nM2\n");
  const std::string text = R"(units = "mm"
[stock]
size = [400, 250]
layers = [ { name = "board", thickness = 12.7 } ]
[bits.round5]
form = "point_roundover"
radius = 5
working_depth = 3.62
[contours.left]
polyline = [[50, 190], [50, 60]]
closed = false
[[operations]]
name = "over"
kind = "turn"
about = "y"
registration = [0.25, 0]
[[operations]]
name = "by program"
kind = "program"
program = "p.ngc"
tools = { 1 = "round5" }
in_spindle = 1
place = [0, 0]
zero = "face"
contour = "left"
keep = "right"
)";
  const Job job = io::parse_scene(text, "test.toml", file.folder);
  const Operation& op = job.operations[1];
  CHECK(op.depth == Approx(3).margin(1e-9));
  CHECK(std::abs(op.offset) == Approx(0.4).margin(1e-9));
  const Plan plan = make_plan(job);
  for (const Move& m : plan.moves) {
    CHECK(m.set_up == 1);
    // 0.25 mm too far right on the machine: the cut lies as much farther right on the sheet.
    if (m.role == MoveRole::cut && m.z0 < 0) CHECK(m.path.a.x == Approx(50.4 + 0.25).margin(1e-9));
  }
}
