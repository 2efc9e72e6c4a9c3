// Execution by NISTIR 6556 (version 3). Sections: 3.4 modal groups, 3.5 G codes, 3.6 M codes, 3.8 order.
// Table 8 was read in a text that carries it; values marked (report) are the report's own examples as they
// were handed to the project, those marked (memory) are remembered from it. The rest follows from its rules,
// worked out by hand.
#include <catch2/catch.hpp>

#include "tests/io/program/listing.hpp"

using namespace ovolo;
using namespace ovolo::test;
using Lines = std::vector<std::string>;

namespace {

// The state after some lines.
io::ModalState state_after(const std::string& text) {
  Listing sink;
  const io::ProgramOptions options = plain_machine();
  io::ProgramLogs logs;
  io::Interpreter interpreter(options, sink, logs);
  std::size_t at = 0;
  for (int number = 1; at < text.size(); ++number) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    interpreter.run(io::parse_line(text.substr(at, end - at), number, interpreter));
    at = end + 1;
  }
  return interpreter.state();
}

bool has_warning(const io::ProgramNotes& notes, const std::string& code) {
  for (const Warning& w : notes.warnings)
    if (w.code == code) return true;
  return false;
}

}  // namespace

TEST_CASE("programs: straight moves, units and distance modes", "[program]") {
  CHECK(run("G21 G0 X1 Y2 Z3\nG1 X4 F100\nY5").lines ==
        Lines{"rapid 1 2 3", "feed 4 2 3 @100", "feed 4 5 3 @100"});
  CHECK(run("G20\nG1 X1 F10\nG21\nX10").lines == Lines{"feed 25.4 0 0 @254", "feed 10 0 0 @254"});
  CHECK(run("G21 G91 G1 X1 Y1 F60\nX1\nX1 Z-2\nG90 X0").lines ==
        Lines{"feed 1 1 0 @60", "feed 2 1 0 @60", "feed 3 1 -2 @60", "feed 0 1 -2 @60"});
  // The motion mode stays suspended on a line whose axis words belong to a group 0 code.
  CHECK(run("G21 G1 X4 F60\nG92 X7\nX8").lines == Lines{"feed 4 0 0 @60", "feed 5 0 0 @60"});
}

TEST_CASE("programs: parameters are set after the line's values are read", "[program]") {
  // "if parameter 3 has been previously set to 15 and the line '#3=6 G1 x#3' is interpreted, a straight move
  // to a point where x equals 15 will occur and the value of parameter 3 will be 6" (memory).
  CHECK(run("G21 F60 #3=15\n#3=6 G1 X#3\nY#3").lines == Lines{"feed 15 0 0 @60", "feed 15 6 0 @60"});
  CHECK(run("G21 F60\n#3=15 #3=6\nG1 X#3").lines == Lines{"feed 6 0 0 @60"});
}

TEST_CASE("programs: expressions, one a line", "[program]") {
  // After the report's own program that tries its expressions (memory); the values are worked out by hand.
  struct Said {
    const char* line;
    double x;
  };
  const double degree = 3.14159265358979323846 / 180;
  const double asin = std::asin(1 / 2.1 - 0.345) / degree,
               atan = std::atan2(4 * 2.1 * std::sqrt(16.8), -18) / degree;
  const Said said[] = {
      {"[1 + 2]", 3},
      {"[1 - 2]", -1},
      {"[1 --3]", 4},
      {"[2/5]", 0.4},
      {"[3.0 * 5]", 15},
      {"[0 OR 0]", 0},
      {"[0 OR 1]", 1},
      {"[2 or 2]", 1},
      {"[0 AND 0]", 0},
      {"[0 AND 1]", 0},
      {"[2 and 2]", 1},
      {"[0 XOR 0]", 0},
      {"[0 XOR 1]", 1},
      {"[2 xor 2]", 0},
      {"[15 MOD 4.0]", 3},
      {"[1 + 2 * 3 - 4 / 5]", 6.2},
      {"sin[30]", 0.5},
      {"cos[0.0]", 1},
      {"tan [45]", 1},
      {"sqrt[3]", std::sqrt(3.0)},
      {"atan[1.7320508075688772]/[1.0]", 60},
      {"asin[1.0]", 90},
      {"acos[0.7071067811865476]", 45},
      {"abs[20.0]", 20},
      {"abs[-1.23]", 1.23},
      {"round[-0.499]", 0},
      {"round[-0.5001]", -1},
      {"round[2.444]", 2},
      {"round[9.975]", 10},
      {"fix[-0.499]", -1},
      {"fix[-0.5001]", -1},
      {"fix[2.444]", 2},
      {"fix[9.975]", 9},
      {"fup[-0.499]", 0},
      {"fup[-0.5001]", 0},
      {"fup[2.444]", 3},
      {"fup[9.975]", 10},
      {"exp[2.302585092994046]", 10},
      {"ln[10.0]", std::log(10.0)},
      {"[2 ** 3.0] #1=2.0", 8},
      {"9 ##1=0.375", 9},  // parameter 2 is set
      {"#2 #3=7.0", 0.375},
      {"#3 #3=5.0", 7},  // not 5: settings come after values
      {"#3 #3=1.1", 5},
      {"[2 + asin[1/2.1+-0.345] / [atan[fix[4.4] * 2.1 * sqrt[16.8]] /[-18]]**2]", 2 + asin / (atan * atan)}};
  std::string text = "G21 F60 G91\n";
  for (const Said& s : said) text += std::string("G1 Y1 X") + s.line + "\n";
  const Run r = run(text);
  REQUIRE(r.motions.size() == std::size(said));
  for (std::size_t i = 0; i < std::size(said); ++i) {
    CAPTURE(said[i].line);
    CHECK(r.motions[i].end[0] - r.motions[i].start[0] == Approx(said[i].x).margin(1e-9));
  }
}

TEST_CASE("programs: order of execution on a line", "[program]") {
  // Table 8: the feed counts in the old units, the dwell comes before the motion, the stop last.
  CHECK(run("G20 F10\nG21 G1 X10 F20 G4 P2 M0 (msg, go)").lines ==
        Lines{"message go", "dwell 2", "feed 10 0 0 @508", "stop"});
  // The tool is changed before the spindle starts; G90 acts before the move on its line.
  const Run r = run("G21 G91\nG1 X5 F60 S1000 M3 T2 M6 G90\nG91 G90.1 X1");
  CHECK(r.lines == Lines{"tool 2", "feed 5 0 0 @60", "feed 6 0 0 @60"});
  CHECK(r.motions[0].tool == 2);
  CHECK(r.motions[0].turning == io::Turning::clockwise);
  CHECK(has_warning(run("G1 G20 X1 F60").notes, "feed-before-units"));
}

TEST_CASE("programs: arcs in centre form", "[program]") {
  // (report) from (7, 7, 7): 'G17 G2 x10 y16 i3 j4 z9' has its centre at (10, 11), radius 5.
  const Run r = run("G21 G0 X7 Y7 Z7\nG17 G2 x10 y16 i3 j4 z9 F60");
  REQUIRE(r.motions.size() == 2);
  REQUIRE(r.motions[1].arc);
  CHECK(r.motions[1].arc->centre[0] == Approx(10));
  CHECK(r.motions[1].arc->centre[1] == Approx(11));
  CHECK(std::hypot(r.motions[1].start[0] - 10, r.motions[1].start[1] - 11) == Approx(5));
  CHECK(r.motions[1].arc->sweep < 0);
  CHECK(r.motions[1].end == io::Point3{10, 16, 9});

  CHECK(run("G21 G3 X0 Y10 J5 F60").lines == Lines{"arc xy 0 10 0 @60 about 0 5 by 180"});
  CHECK(run("G21 G2 X0 Y0 I5 F60").lines == Lines{"arc xy 0 0 0 @60 about 5 0 by -360"});
  // The other planes: G18 turns as seen from positive Y (from Z to X), G19 as seen from positive X.
  CHECK(run("G21 G18 G2 X10 Z0 I5 F60").lines == Lines{"arc xz 10 0 0 @60 about 5 0 by -180"});
  CHECK(run("G21 G18 G3 X5 Z5 I5 F60").lines == Lines{"arc xz 5 0 5 @60 about 5 0 by 90"});
  CHECK(run("G21 G18 G3 X5 Z-5 I5 F60").lines == Lines{"arc xz 5 0 -5 @60 about 5 0 by 270"});
  CHECK(run("G21 G19 G3 Y5 Z-5 J5 F60").lines == Lines{"arc yz 0 5 -5 @60 about 5 0 by 90"});
  // G90.1 (an extension): the centre in the program's coordinates.
  const Run absolute = run("G21 G0 X7 Y7\nG90.1 G2 X10 Y16 I10 J11 F60\nG91.1 G2 X10 Y16 J-5");
  CHECK(absolute.lines[2] == "arc xy 10 16 0 @60 about 10 11 by -360");
  REQUIRE(absolute.notes.extensions.size() == 1);
  // Radii 0.002 mm apart are allowed, 0.003 not; in inches 0.0002.
  CHECK(error_of("G21 G3 X0 Y10.0019 J5 F60\nM2").empty());
  CHECK_FALSE(error_of("G21 G3 X0 Y10.0021 J5 F60\nM2").empty());
  CHECK(error_of("G20\nG3 X0 Y10.00019 J5 F60\nM2").empty());
  CHECK_FALSE(error_of("G20\nG3 X0 Y10.00021 J5 F60\nM2").empty());
}

TEST_CASE("programs: arcs in radius form", "[program]") {
  // (report) from (3, 1): 'g2 x0 r7.01 z0.5' has its centre at (1.5, 7.8476)... the lower or the upper one by
  // the side.
  const Run r = run("G21 G0 X3 Y1\ng2 x0 y1 r7.01 z0.5 F60");
  REQUIRE(r.motions[1].arc);
  CHECK(r.motions[1].end == io::Point3{0, 1, 0.5});
  CHECK(r.motions[1].arc->centre[0] == Approx(1.5).margin(1e-9));
  CHECK(r.motions[1].arc->centre[1] == Approx(7.8476).margin(5e-5));
  CHECK(run("G21 G2 X10 R5 F60").lines == Lines{"arc xy 10 0 0 @60 about 5 0 by -180"});
  CHECK(run("G21 G2 X10 Y10 R10 F60").lines == Lines{"arc xy 10 10 0 @60 about 10 0 by -90"});
  CHECK(run("G21 G2 X10 Y10 R-10 F60").lines == Lines{"arc xy 10 10 0 @60 about 0 10 by -270"});
  CHECK(run("G21 G3 X10 Y10 R10 F60").lines == Lines{"arc xy 10 10 0 @60 about 0 10 by 90"});
  CHECK(run("G21 G3 X10 Y10 R-10 F60").lines == Lines{"arc xy 10 10 0 @60 about 10 0 by 270"});
  CHECK(run("G21 G18 G2 X10 Z-10 R10 F60").lines == Lines{"arc xz 10 0 -10 @60 about 10 0 by -90"});
  // 'G17 G2 x 10 y 15 r 20 z 5' (memory): a helix when Z differs.
  CHECK(run("G21 G17 G2 x 10 y 15 r 20 z 5 F60").motions[0].end == io::Point3{10, 15, 5});
  // Half a turn with a radius a hair too small is taken at its true radius.
  CHECK(run("G21 G2 X10 R4.999 F60").lines == Lines{"arc xy 10 0 0 @60 about 5 0 by -180"});
}

TEST_CASE("programs: coordinate systems", "[program]") {
  // 'G10 L2 P1 x 3.5 y 17.2' (memory) sets the first system's origin, Z is left; the active one moves at
  // once.
  CHECK(run("G21 F60\nG10 L2 P1 x 3.5 y 17.2\nG1 X1 Y1 Z1").lines == Lines{"feed 4.5 18.2 1 @60"});
  CHECK(run("G21 F60\nG10 L2 P9 X100 Y0 Z-5\nG1 X1\nG59.3\nX1 Y0 Z0").lines ==
        Lines{"feed 1 0 0 @60", "feed 101 0 -5 @60"});
  CHECK(run("G21 F60\nG10 L2 P3 X10\nG56\n#1=#5220\n#2=#5261\nG1 X#1 Y#2").lines ==
        Lines{"feed 13 10 0 @60"});
  CHECK(run("G21 F60\n#5241=7\nG55 G1 X1").lines == Lines{"feed 8 0 0 @60"});
  // G53: machine coordinates, on its line alone; with G91 it is an error (memory).
  CHECK(run("G21 F60\nG10 L2 P1 X10 Y10\nG0 X1 Y1\nG53 G0 X1\nG1 X1").lines ==
        Lines{"rapid 11 11 0", "rapid 1 11 0", "feed 11 11 0 @60"});
  // The work zero elsewhere than the machine's: results count from the work zero.
  io::ProgramOptions options = plain_machine();
  options.systems[0] = io::Point3{100, 50, -80};
  options.systems[1] = io::Point3{150, 50, -80};
  options.home = {0, 0, 0};
  CHECK(run("G21 G0 X1 Y1\nG53 G0 Z0\nG55 X1 Y1\nG28", options).lines ==
        Lines{"rapid 1 1 0", "rapid 1 1 80", "rapid 51 1 80", "rapid -100 -50 80"});
}

TEST_CASE("programs: homes", "[program]") {
  io::ProgramOptions options = plain_machine();
  options.home = {1, 2, 30};
  options.second_home = {4, 5, 60};
  CHECK(run("G21 G0 X7 Y7\nG28 Z10\nG30", options).lines ==
        Lines{"rapid 7 7 0", "rapid 7 7 10", "rapid 1 2 30", "rapid 4 5 60"});
  CHECK(run("G21 #5161=9\nG0 X#5161\nG91 G28 Z3", options).lines ==
        Lines{"rapid 9 0 0", "rapid 9 0 3", "rapid 9 2 30"});
}

TEST_CASE("programs: axis offsets", "[program]") {
  // (report) at X 4 'G92 x7' makes the offset -3, kept in parameter 5211.
  CHECK(run("G21 F60\nG1 X4\nG92 x7\nX7 Y#5211").lines == Lines{"feed 4 0 0 @60", "feed 4 -3 0 @60"});
  CHECK(run("G21 F60\nG1 X4\nG92 X7\nG92.2\nX5 Y#5211").lines[1] == "feed 5 -3 0 @60");
  CHECK(run("G21 F60\nG1 X4\nG92 X7\nG92.1\nX5 Y#5211").lines[1] == "feed 5 0 0 @60");
  CHECK(run("G21 F60\nG1 X4\nG92 X7\nG92.2\nX5\nG92.3 X5").lines[2] == "feed 2 0 0 @60");
  // The zeros of all systems move with it.
  CHECK(run("G21 F60\nG10 L2 P2 X100 Y0 Z0\nG1 X4\nG92 X7\nG55 X0").lines[1] == "feed 97 0 0 @60");
  // A second G92 replaces the first; G91 means nothing to it.
  CHECK(run("G21 F60\nG1 X4\nG92 X7\nG91\nG92 X1\nG90 X2").lines[1] == "feed 5 0 0 @60");
  // Offsets are lengths: they stay where they are when the units change.
  CHECK(run("G20\nF60 G1 X1\nG92 X0\nG21 X25.4").lines[1] == "feed 50.8 0 0 @1524");
}

TEST_CASE("programs: feed modes", "[program]") {
  // G93: F is 1 over minutes: 10 mm in half a minute are 20 mm/min; an arc by its length along the path.
  CHECK(run("G21 G93 G1 X10 F2\nX0 F1").lines == Lines{"feed 10 0 0 @20", "feed 0 0 0 @10"});
  CHECK(run("G21 G93 G3 X0 Y20 J10 F1").lines == Lines{"arc xy 0 20 0 @31.4159 about 0 10 by 180"});
  const Run helix = run("G21 G93 G3 X0 Y0 Z30 I10 F1");
  CHECK(helix.motions[0].feed == Approx(std::hypot(20 * 3.14159265358979, 30)));
  CHECK(run("G21 G93 G0 X5\nG94 G1 X10 F50").lines == Lines{"rapid 5 0 0", "feed 10 0 0 @50"});
  CHECK(error_of("G21 G94 F50\nG93 G1 X1 F1\nG94 X2\nM2").substr(0, 4) == "3:5:");
}

TEST_CASE("programs: M2 and M30 set everything back", "[program]") {
  // (report, 3.6.1): G54, G17, G90, G94, M48, G40, M5, G1, M9, axis offsets off.
  const std::string change = "G21 G55 G18 G91 G93 M49 M3 S100 M7\nM8\nG92 X3 Y1\n";
  for (const char* end : {"M2", "M30"}) {
    const io::ModalState s = state_after(change + end);
    CHECK(s.system == 1);
    CHECK(s.plane == io::Plane::xy);
    CHECK_FALSE(s.incremental);
    CHECK_FALSE(s.inverse_time);
    CHECK(s.overrides);
    CHECK(s.radius == 400);
    CHECK(s.turning == io::Turning::stopped);
    CHECK(s.motion == 10);
    CHECK_FALSE(s.mist);
    CHECK_FALSE(s.flood);
  }
  const io::ModalState before = state_after(change);
  CHECK(before.mist);
  CHECK(before.flood);
  CHECK(before.system == 2);
  CHECK(before.plane == io::Plane::xz);
  CHECK(before.inverse_time);
  // Nothing after the end is run, wrong lines included.
  CHECK(run_whole("G21 G0 X1\nM2\nG1 X( nonsense\n").lines == Lines{"rapid 1 0 0", "end"});
}

TEST_CASE("programs: percent lines", "[program]") {
  CHECK(run_whole("\n %\t\nG21 G0 X1\n%\nG0 X( nonsense").lines == Lines{"rapid 1 0 0"});
  CHECK(run_whole("%\r\nG21 G0 X1\r\nM30\r\n\r\n%\r\n").lines == Lines{"rapid 1 0 0", "end and rewind"});
  CHECK(error_of("%\nG21 G0 X1\nM2\n").find("no closing %") != std::string::npos);
  CHECK(error_of("G21 G0 X1\n%\nM2\n").substr(0, 4) == "2:1:");
  CHECK(error_of("G21 G0 X1\n").find("does not end with M2 or M30") != std::string::npos);
  CHECK(error_of("").find("does not end") != std::string::npos);
  CHECK(has_warning(run_whole("%\nG21 M3 S9 G0 X1\n%").notes, "spindle-left-on"));
}

TEST_CASE("programs: block delete", "[program]") {
  const std::string text = "G21 G0 X1\n/ G0 X2\n/ O100 (\nM2\n";
  io::ProgramOptions options = plain_machine();
  options.skip_deleted = true;
  const Run skipped = run_whole(text, options);
  CHECK(skipped.lines == Lines{"rapid 1 0 0", "end"});
  CHECK(skipped.notes.deleted_lines == 2);
  CHECK(run("G21 G0 X1\n/ G0 X2").lines == Lines{"rapid 1 0 0", "rapid 2 0 0"});
}

TEST_CASE("programs: tool lengths", "[program]") {
  io::ProgramOptions options = plain_machine();
  options.tools[1].length = 50.0;
  options.tools[2].length = 70.0;
  options.first_tool = 1;
  options.start = io::Point3{0, 0, 200};
  // With its own length in force the programmed height is the tip's.
  CHECK(run("G21 M3 S9 G43 H1\nG0 Z5\nG1 Z-1 F60", options).lines == Lines{"rapid 0 0 5", "feed 0 0 -1 @60"});
  // With a longer tool's the tip stays 20 higher; with none it runs its whole length lower.
  CHECK(run("G21 M3 S9 G43 H2\nG1 Z-1 F60", options).lines == Lines{"feed 0 0 19 @60"});
  const Run none = run("G21 M3 S9\nG1 Z60 F60", options);
  CHECK(none.lines == Lines{"feed 0 0 10 @60"});
  CHECK(has_warning(none.notes, "length-not-applied"));
  CHECK(run("G21 M3 S9 G43 H2\nG0 Z5\nT2 M6\nM3\nG1 Z-1 F60\nG49 G0 Z100", options).lines ==
        Lines{"rapid 0 0 25", "tool 2", "feed 0 0 -1 @60", "rapid 0 0 30"});
  // Unknown lengths: a tool's own offset cancels, another's cannot be honoured.
  io::ProgramOptions unknown = plain_machine();
  unknown.tools[2] = {};
  CHECK(run("G21 M3 S9 G43 H1\nG1 Z-1 F60", unknown).lines == Lines{"feed 0 0 -1 @60"});
  CHECK(error_of("G21 M3 S9 G43 H2\nG1 Z-1 F60\nM2", unknown).substr(0, 4) == "2:1:");
}

TEST_CASE("programs: a place that is not known", "[program]") {
  io::ProgramOptions options = plain_machine();
  options.start.reset();
  // Rapids to the first whole point are made but are not shown.
  CHECK(run("G21 G0 Z5\nX1 Y2\nG1 Z-1 F60", options).lines == Lines{"feed 1 2 -1 @60"});
  CHECK(error_of("G21 G0 Z5\nG1 X1 F60\nM2", options).substr(0, 4) == "2:1:");
  CHECK(error_of("G21 G92 X0\nM2", options).substr(0, 5) == "1:9: ");
  CHECK(run("G21 G91 G28 Z0\nG90 G1 X1 F60", options).lines == Lines{"feed 1 0 0 @60"});
}

TEST_CASE("programs: warnings come with their lines", "[program]") {
  const Run r = run("G21 F60\nG1 X1\nX2\nM3\nX3\nS9\nX4\nM4\nX5");
  REQUIRE(r.notes.warnings.size() == 2);
  CHECK(r.notes.warnings[0].code == "spindle-stopped");
  CHECK(r.notes.warnings[0].source.line == 2);
  CHECK(r.notes.warnings[0].text.find("(3 lines, from 2 to 5)") != std::string::npos);
  CHECK(r.notes.warnings[1].code == "spindle-reversed");
  CHECK(r.notes.warnings[1].source.line == 9);
  CHECK(has_warning(run("G0 X1").notes, "units-not-told"));
  CHECK_FALSE(has_warning(run("G20 G0 X1").notes, "units-not-told"));
  CHECK_FALSE(has_warning(run("G80\nG20\nG0 X1").notes, "units-not-told"));
  CHECK(run("G21 G64\nG61").notes.assumptions.size() == 1);
  CHECK_FALSE(has_warning(run("G21 M3 S9 G3 X0 Y-0.001 I5 F60").notes, "nearly-full-circle"));
  CHECK(has_warning(run("G21 M3 S9 G2 X0 Y-0.001 I5 F60").notes, "nearly-full-circle"));
  CHECK(has_warning(run("G21 G91 G28 Z0").notes, "home-all-axes"));
}

TEST_CASE("programs: extensions are marked", "[program]") {
  const Run r = run("G21 ; metric\nG1 F60\nX5\nG90.1\nG91.1");
  CHECK(r.lines == Lines{"feed 5 0 0 @60"});
  CHECK(r.notes.extensions.size() == 3);
}
