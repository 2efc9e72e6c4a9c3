// Wrong programs, each with the whole message it must get: line, column, what is wrong and the mend.
#include <catch2/catch.hpp>

#include "io/error.hpp"
#include "io/program/path_builder.hpp"
#include "tests/io/program/listing.hpp"

using namespace ovolo;
using namespace ovolo::test;

namespace {

struct Wrong {
  const char* program;
  const char* error;
};

// On a machine whose coordinates are known, at (0, 0, 0), tool 1 in the spindle.
const Wrong kWrong[] = {
    {"G21 G1 X1 (open\nM2", "1:11: this comment is not closed: put ) before the line's end"},
    {"G21 (one (two))\nM2", "1:10: a comment within a comment: close the first one before this parenthesis"},
    {"G21 )\nM2", "1:5: this parenthesis closes no comment: remove it"},
    {"G21 G1 X\nM2", "1:9: the value of X should be a number, not the end of the line"},
    {"G21 G1 X1.2.3\nM2", "1:12: a word, a comment or a parameter setting should stand here, not '.'"},
    {"G21 G1 X1e3\nM2", "1:10: no word begins with E: remove it"},
    {"G21 G0 X--1\nM2", "1:10: the value of X should be a number, not '-'"},
    {"G21 G0 X-#1\nM2", "1:9: a sign stands before a number only: write [0 - ...]"},
    {"G21 G0 X-[3]\nM2", "1:9: a sign stands before a number only: write [0 - ...]"},
    {"G21 G0 X[1+2\nM2", "1:9: this bracket is not closed: put ] where its expression ends"},
    {"G21 G0 X[1+]\nM2", "1:12: a value in this expression should be a number, not ']'"},
    {"G21 G0 X[1,2]\nM2", "1:11: an operator or ] should stand here, not ','"},
    {"G21 G0 X]\nM2", "1:9: the value of X should be a number, not ']'"},
    {"G21 G0 X[1/0]\nM2", "1:11: division by zero: the value on the right must not be zero"},
    {"G21 G0 XSQRT[-1]\nM2", "1:9: SQRT of -1: it takes numbers from zero up"},
    {"G21 G0 XACOS[1.1]\nM2", "1:9: ACOS of 1.1: it takes -1 to 1"},
    {"G21 G0 XLN[0]\nM2", "1:9: LN of 0: it takes numbers above zero"},
    {"G21 G0 XATAN[1]\nM2", "1:16: ATAN takes two arguments: write ATAN[y]/[x]"},
    {"G21 G0 XSINE[1]\nM2", "1:12: a function's argument should begin with '[', not 'e'"},
    {"G21 G0 X[[0-8]**[1/3]]\nM2", "1:15: a negative number cannot be raised to a power that is not whole"},
    {"G21 G0 X[0**-1]\nM2", "1:11: zero cannot be raised to a negative power"},
    {"G21 G0 XEXP[999]\nM2", "1:9: the result is too large for a number"},
    {"G21 G0 X[5 MOD 0]\nM2", "1:12: MOD by zero: the value on the right must not be zero"},
    {"#0=1\nM2", "1:2: a parameter's number should be from 1 to 5399, not 0"},
    {"#5400=1\nM2", "1:2: a parameter's number should be from 1 to 5399, not 5400"},
    {"#1.5=1\nM2", "1:2: a parameter's number should be a whole number, not 1.5"},
    {"#1\nM2", "1:3: '=' should follow the parameter's number, not the end of the line"},
    {"#1 15\nM2", "1:6: '=' should follow the parameter's number, not the end of the line"},
    {"#5220=2\nM2",
     "1:1: #5220 holds the number of the coordinate system in force: choose it with G54 to G59.3"},
    {"#X=2\nM2", "1:2: a parameter's number should be a number, not 'x'"},
    {"N123456 G0 X1\nM2", "1:2: the line number has more than 5 digits: shorten it"},
    {"N-1 G0 X1\nM2", "1:2: the line number should be digits, not '-'"},
    {"N1.5 G0 X1\nM2", "1:3: a word, a comment or a parameter setting should stand here, not '.'"},
    {"G0 N10 X1\nM2", "1:4: a line number stands first on its line: move the N word there or remove it"},
    {"G0 /X1\nM2", "1:4: a slash stands first on its line or between values within brackets"},
    {"O100 SUB\nM2",
     "1:1: O words (numbered subprograms and loops) are not in NISTIR 6556 and are not read: have the "
     "program posted without them"},
    {"G0 E1\nM2", "1:4: no word begins with E: remove it"},
    {"G0 U1\nM2", "1:4: no word begins with U: remove it"},
    {"G0 X1 ? Y2\nM2", "1:7: a word, a comment or a parameter setting should stand here, not '?'"},
    {"G0 X1\007\nM2", "1:6: control character 0x07: remove it"},
    {"G0 X1 \342\210\222 Y2\nM2",
     "1:7: a word, a comment or a parameter setting should stand here, not a character that is not ASCII"},
    {"% named\nM2\n%", "1:1: % stands alone on the program's first and last line"},
    {"G21 G0 X1\n%\nM2", "2:1: % stands alone on the program's first and last line"},
    {"%\nG21\nM2", "3:1: the program begins with % but has no closing %: add a line with % alone"},
    {"G21 G0 X1",
     "1:1: the program does not end with M2 or M30: it may have been cut short; add M2 if it is whole"},
    {"", " the program does not end with M2 or M30: it may have been cut short; add M2 if it is whole"},
    {"G21 G0 X1 X2\nM2", "1:11: X stands twice on this line: keep one of them"},
    {"G21 G0 G1 X1\nM2", "1:8: G0 and G1 exclude each other on one line: keep one of them"},
    {"G21 G20\nM2", "1:5: G21 and G20 exclude each other on one line: keep one of them"},
    {"G90 G91\nM2", "1:5: G90 and G91 exclude each other on one line: keep one of them"},
    {"M3 M4\nM2", "1:4: M3 and M4 exclude each other on one line: keep one of them"},
    {"M0 M1\nM2", "1:4: M0 and M1 exclude each other on one line: keep one of them"},
    {"M3 M7 M48 M6 M0 T1\nM2", "1:14: more than four M words on one line: move some to another line"},
    {"G73 X1 Z-1 R2 Q1\nM2",
     "1:1: G73 is not in NISTIR 6556 and cannot be honoured: remove it or have the program posted without "
     "it"},
    {"G5 X1\nM2",
     "1:1: G5 is not in NISTIR 6556 and cannot be honoured: remove it or have the program posted without it"},
    {"G41.1 D3\nM2",
     "1:1: G41.1 is not in NISTIR 6556 and cannot be honoured: remove it or have the program posted without "
     "it"},
    {"M98 P100\nM2",
     "1:1: M98 is not in NISTIR 6556 and cannot be honoured: remove it or have the program posted without "
     "it"},
    {"M7.5\nM2", "1:1: an M code should be a whole number, not 7.5"},
    {"G-1\nM2", "1:1: there is no code G-1"},
    {"G0.05 X1\nM2", "1:1: there is no code G0.05"},
    {"G0 A90\nM2",
     "1:4: A turns a rotary axis, which a three-axis router does not have: have the program posted for three "
     "axes"},
    {"G38.2 Z-5 F10\nM2",
     "1:1: G38.2 probes until a contact opens or closes, which only the machine can know: put the measured "
     "values in its place"},
    {"X1\nM2", "1:1: axis words without a motion code, and none is in force: write G0, G1, G2 or G3"},
    {"G80 X1\nM2", "1:1: G80 ends all motion, so axis words have no meaning on its line: remove them or G80"},
    {"G21 F9 G1 X1\nG80\nX2\nM2",
     "3:1: axis words without a motion code, and none is in force: write G0, G1, G2 or G3"},
    {"G0 X1 G92 Y2\nM2", "1:1: G0 and G92 both use axis words: put them on lines of their own"},
    {"G92\nM2", "1:1: G92 needs at least one of X, Y and Z"},
    {"G53 X1\nM2", "1:5: axis words without a motion code, and none is in force: write G0, G1, G2 or G3"},
    {"G21 G1 F9 X1\nG53 G2 X2 R1\nM2",
     "2:1: G53 works on a line with a G0 or G1 move only: add the move or remove G53"},
    {"G91\nG53 G0 X1\nM2", "2:1: G53 goes to a place, which G91 (incremental) cannot give: select G90 first"},
    {"G53 G0\nM2", "1:5: G0 needs at least one of X, Y and Z"},
    {"G21 G0 X1 I5\nM2", "1:11: nothing on this line uses I: it belongs to G2, G3 and G87; remove it"},
    {"G21 G0 X1 R5\nM2", "1:11: nothing on this line uses R: it belongs to G2, G3 and G81 to G89; remove it"},
    {"G21 G0 X1 P5\nM2",
     "1:11: nothing on this line uses P: it belongs to G4, G10, G82, G86, G88 and G89; remove it"},
    {"G21 G0 X1 Q5\nM2", "1:11: nothing on this line uses Q: it belongs to G83; remove it"},
    {"G21 G0 X1 L5\nM2", "1:11: nothing on this line uses L: it belongs to G10 and G81 to G89; remove it"},
    {"G21 G0 X1 D5\nM2", "1:11: nothing on this line uses D: it belongs to G41 and G42; remove it"},
    {"G21 G0 X1 H5\nM2", "1:11: nothing on this line uses H: it belongs to G43; remove it"},
    {"G21 G4\nM2", "1:5: G4 needs P, the seconds to wait"},
    {"G4 P-1\nM2", "1:4: the seconds to wait cannot be negative"},
    {"G21 G1 X1\nM2", "1:5: no feed is set for this move: add F"},
    {"G1 X1 F-5\nM2", "1:7: the feed cannot be negative"},
    {"G4 P86401\nM2", "1:4: the seconds to wait come to more than a day: P counts seconds"},
    {"S1000001\nM2", "1:1: the spindle speed is over 1,000,000 rpm: correct S"},
    {"G20\nF40000\nM2",
     "2:1: this comes to a feed of 1.02e+06 mm/min, and feeds here lie between 0.001 and 1,000,000: correct "
     "F, or the units (G20, G21) and the feed mode (G93, G94)"},
    {"G21 G93 G1 X10 F0.00001\nM2",
     "1:16: this comes to a feed of 0.0001 mm/min, and feeds here lie between 0.001 and 1,000,000: correct "
     "F, or the units (G20, G21) and the feed mode (G93, G94)"},
    {"S-100\nM2", "1:1: the spindle speed cannot be negative: M3 and M4 choose the direction"},
    {"T-1\nM2", "1:1: a tool number should be from 0 to 99999, not -1"},
    {"T1.5\nM2", "1:1: a tool number should be a whole number, not 1.5"},
    {"M6\nM2", "1:1: M6 changes to a tool that no T word has chosen yet: add T and its number"},
    {"G21 F9 G2 I5\nM2", "1:8: G2 needs at least one of X, Y and Z"},
    {"G21 F9 G2 X1 Y1\nM2", "1:8: an arc needs its radius R or its centre: add I and J"},
    {"G21 F9 G2 X1 R5 I2\nM2", "1:14: an arc has either its radius R or its centre, not both: remove one"},
    {"G21 F9 G2 X1 I1 K5\nM2",
     "1:17: K has no meaning for an arc in this plane: remove it or select the plane that is meant (G17, "
     "G18, G19)"},
    {"G21 F9 G18 G2 X1 J5\nM2",
     "1:18: J has no meaning for an arc in this plane: remove it or select the plane that is meant (G17, "
     "G18, G19)"},
    {"G21 F9 G18 G2 Y5 I5\nM2", "1:12: an arc needs its end point: add X or Z"},
    {"G21 F9 G19 G2 Y5 R1\nM2",
     "1:12: radius 1.0000 mm is too small: the end lies 5.0000 mm away, so it must be 2.5000 mm or more"},
    {"G21 F9 G2 X0 Y0 R5\nM2",
     "1:8: an arc in radius form cannot end where it starts: write the centre (I and J) instead of R"},
    {"G21 F9 G3 X0 Y10.01 J5\nM2",
     "1:8: the arc's start lies 5.0000 mm from its centre and its end 5.0100 mm: they may differ by 0.0020 "
     "mm at most; correct the centre or the end point"},
    {"G21 F9 G3 X1 I0 J0\nM2", "1:8: the arc's radius is zero: its centre must lie off its start"},
    {"G21 F9 G2 X100 Y0 R0\nM2", "1:8: the arc's radius is zero: its centre must lie off its start"},
    {"G21 F9 G2 X100 Y0 R1e9\nM2", "1:21: no word begins with E: remove it"},
    {"G21 F9 G2 X100 Y0 R2000000\nM2", "1:8: the arc's radius is over 1 km: write a straight line"},
    {"G21 F9 G90.1 G2 X10 I5\nM2",
     "1:14: under G90.1 an arc needs both coordinates of its centre: add the missing one"},
    {"G21 G2 X10 R5\nM2", "1:5: no feed is set for this move: add F"},
    {"G21 F9 G81 X1 R2\nM2", "1:8: G81 needs Z the first time it is used"},
    {"G21 F9 G81 X1 Z-1\nM2", "1:8: G81 needs R the first time it is used"},
    {"G21 F9 G81 X1 Z3 R2\nM2",
     "1:8: the hole's bottom (Z) lies above the clear plane (R): raise R or lower Z"},
    {"G21 F9 G81 X1 Z-1 R2 L0\nM2", "1:22: L, the repeats, should be from 1 to 1000000000, not 0"},
    {"G21 F9 G81 X1 Z-1 R2 L1.5\nM2", "1:22: L, the repeats, should be a whole number, not 1.5"},
    {"G21 F9 G83 X1 Z-1 R2\nM2", "1:8: G83 needs Q the first time it is used"},
    {"G21 F9 G83 X1 Z-1 R2 Q0\nM2", "1:8: Q, the depth of each peck, must be above zero"},
    {"G21 F9 G82 X1 Z-1 R2\nM2", "1:8: G82 needs P the first time it is used"},
    {"G21 F9 G82 X1 Z-1 R2 P-1\nM2", "1:8: P, the seconds to wait, cannot be negative"},
    {"G21 F9 G84 X1 Z-1 R2\nM2",
     "1:8: G84 taps with the spindle turning clockwise: start it with M3 and S first"},
    {"G21 F9 G86 X1 Z-1 R2 P1\nM2", "1:8: G86 needs the spindle turning: start it with M3 and S first"},
    {"G21 F9 G88 X1 Z-1 R2 P1\nM2", "1:8: G88 needs the spindle turning: start it with M3 and S first"},
    {"G21 F9 G87 X1 Z-1 R2 I1 J0 K0\nM2", "1:8: G87 needs the spindle turning: start it with M3 and S first"},
    {"G21 F9 S9 M4\nG84 X1 Z-1 R2\nM2",
     "2:1: G84 taps with the spindle turning clockwise: start it with M3 and S first"},
    {"G21 F9 S9 M3 G87 X1 Z-1 R2\nM2", "1:14: G87 needs I the first time it is used"},
    {"G21 F9 S9 M3 G87 X1 Z-1 R2 I1 J0 K5\nM2",
     "1:14: the counterbore of G87 must end between its bottom and the clear plane"},
    {"G21 G93 F9 G81 X1 Z-1 R2\nM2", "1:12: G81 cannot be used under G93: select G94 and a feed first"},
    {"G21 F9 G81\nM2", "1:8: G81 needs at least one of X, Y and Z"},
    {"G21 G81 X1 Z-1 R2\nM2", "1:5: no feed is set for this move: add F"},
    {"G10 P1 X1\nM2", "1:1: G10 is read as G10 L2 only: it sets the zero of a coordinate system"},
    {"G10 L3 P1 X1\nM2", "1:5: G10 is read as G10 L2 only: it sets the zero of a coordinate system"},
    {"G10 L2 X1\nM2", "1:1: G10 L2 needs P, the number of the coordinate system (1 to 9)"},
    {"G10 L2 P10 X1\nM2", "1:8: P should be from 1 to 9, not 10"},
    {"G10 L2 P0 X1\nM2", "1:8: P should be from 1 to 9, not 0"},
    {"G10 L2 P1.5 X1\nM2", "1:8: P should be a whole number, not 1.5"},
    {"G43\nM2", "1:1: G43 needs H, the tool whose length is to be used"},
    {"G43 H7\nM2", "1:5: tool 7 is not in the scene: add it to the operation's tools"},
    {"G43 H-1\nM2", "1:5: H should be from 0 to 99999, not -1"},
    {"G41 D1\nM2",
     "1:5: the diameter of tool 1 is not known: tell it in the scene (tools = { 1 = { bit = ..., diameter = "
     "... } })"},
    {"G41 D7\nM2",
     "1:5: the diameter of tool 7 is not known: tell it in the scene (tools = { 7 = { bit = ..., diameter = "
     "... } })"},
    {"G18 G41 D0\nM2", "1:5: G41 works in the XY plane only: select G17 first"},
    {"G41 D0\nG42\nM2", "2:1: G41 is in force already: end it with G40 first"},
    {"G41 D0\nG20\nM2", "2:1: units cannot change under G41 or G42: end them with G40 first"},
    {"G41 D0\nG19\nM2", "2:1: G41 and G42 work in the XY plane only: end them with G40 first"},
    {"G41 D0\nG55\nM2", "2:1: the coordinate system cannot change under G41 or G42: end them with G40 first"},
    {"G41 D0\nG92 X1\nM2", "2:1: G92 cannot change offsets under G41 or G42: end them with G40 first"},
    {"G41 D0\nG28\nM2", "2:1: G28 cannot be used under G41 or G42: end them with G40 first"},
    {"G21 F9 G93 G1 X1\nX2\nM2", "2:1: under G93 every line with a G1, G2 or G3 move needs its own F"},
    {"G21 G93 G1 X1 F0\nM2", "1:15: under G93 an F of zero would never end: F is 1 over the minutes"},
    {"G21 G0 X1000000\nM2",
     "1:5: this move ends 1000 m from the work zero, farther than any sheet: check the units (G20, G21) and "
     "the coordinates"},
    {"G20 G0 X99999\nM2",
     "1:5: this move ends 2540 m from the work zero, farther than any sheet: check the units (G20, G21) and "
     "the coordinates"},
    {"G59.4\nM2",
     "1:1: G59.4 is not in NISTIR 6556 and cannot be honoured: remove it or have the program posted without "
     "it"},
};

// Where nothing is known of the machine's own coordinates.
const Wrong kNoMachine[] = {
    {"G53 G0 X1\nM2",
     "1:1: G53 speaks of machine coordinates, and where the work zero lies in them is not known: tell it "
     "(machine_coordinates = { zero = [x, y, z] }) or remove this"},
    {"G28\nM2",
     "1:1: G28 speaks of machine coordinates, and where the work zero lies in them is not known: tell it "
     "(machine_coordinates = { zero = [x, y, z] }) or remove this"},
    {"G10 L2 P1 X1\nM2",
     "1:1: G10 L2 speaks of machine coordinates, and where the work zero lies in them is not known: tell it "
     "(machine_coordinates = { zero = [x, y, z] }) or remove this"},
    {"G0 X#5161\nM2",
     "1:5: #5161 speaks of machine coordinates, and where the work zero lies in them is not known: tell it "
     "(machine_coordinates = { zero = [x, y, z] }) or remove this"},
    {"#5223=1\nM2",
     "1:1: #5223 speaks of machine coordinates, and where the work zero lies in them is not known: tell it "
     "(machine_coordinates = { zero = [x, y, z] }) or remove this"},
    {"G55\nM2",
     "1:1: where the zero of G55 lies is not known: tell it in the scene or set it with G10 L2 P2"},
    {"G92 X0\nM2",
     "1:5: G92 renames the place where the machine stands, and that is not known yet: tell where it starts "
     "(start = [x, "
     "y, z]) or move there first"},
    {"G21 G1 X1 F9\nM2",
     "1:5: this move begins at a place that is not known: go to a first point with G0 and all of X, Y and Z, "
     "or tell "
     "where the spindle starts (start = [x, y, z])"},
    {"G21 G81 X1 Y1 Z-1 R2 F9\nM2",
     "1:5: the cycle begins at a height that is not known: go to a Z first with G0"},
};

}  // namespace

TEST_CASE("wrong programs are refused with place, reason and mend", "[program]") {
  for (const Wrong& wrong : kWrong) {
    INFO(wrong.program);
    CHECK(error_of(wrong.program) == wrong.error);
  }
  CHECK(error_of("(" + std::string(300, 'x') + ")\nM2") ==
        "1:257: the line is longer than 256 characters: split it");
  CHECK(error_of(std::string("\xff\xfeG\0"
                             "2\0"
                             "1\0\n\0",
                             10)) ==
        "1:4: this is no plain text: save the program as plain text (UTF-8 or ASCII)");
}

TEST_CASE("wrong programs: what is not known of the machine", "[program]") {
  io::ProgramOptions options;
  options.tools[1] = {};
  options.first_tool = 1;
  for (const Wrong& wrong : kNoMachine) {
    INFO(wrong.program);
    CHECK(error_of(wrong.program, options) == wrong.error);
  }
}

TEST_CASE("wrong programs: limits", "[program]") {
  io::ProgramOptions options = plain_machine();
  options.limits.motions = 1000;
  CHECK(error_of("G21 G91 G0 X1\nG81 Z-1 R-1 F9 L1000000\nM2", options) ==
        "2:1: the program makes more than 1000 motions: split it");
  CHECK(error_of("G21 G0 Z5\nG83 Z-5 R1 Q0.0000000000000000000000000001 F9\nM2", options) ==
        "2:1: the program makes more than 1000 motions: split it");
  options.limits.bytes = 8;
  CHECK(error_of("G21\nG0 X1\nM2", options).find("the program has more than 8 bytes") != std::string::npos);
  CHECK_THROWS_AS(io::read_program_file("no/such/program.ngc", options, *std::make_unique<Listing>()),
                  io::SceneError);
}

TEST_CASE("wrong programs: what the sheet cannot show", "[program]") {
  io::ProgramPlacement placement;
  placement.bits[1] = 0;
  io::ProgramOptions options = plain_machine();
  options.tools[4] = {};
  const auto error = [&](const std::string& text) -> std::string {
    io::PathBuilder builder(placement, options.limits);
    try {
      io::read_program(text, "p.ngc", options, builder);
    } catch (const io::SceneError& e) {
      return e.what();
    }
    return {};
  };
  CHECK(error("T4 M6\nM2") ==
        "p.ngc:1:4: tool 4 is changed to, but no bit of the scene is given for it: add it to the operation's "
        "tools");
  CHECK(error("T0 M6\nG21 F9 G0 X1\nG1 X2\nM2") ==
        "p.ngc:3:1: a feed move with no tool in the spindle: change to one with T and M6 before, or tell "
        "which tool is "
        "in the spindle when the program starts");
  CHECK(error("G21 F9 S9 M3\nG87 X1 Z-1 R2 I1 J0 K0\nM2") ==
        "p.ngc:2:1: back boring (G87) passes a one-sided cutter through the bore, which cannot be shown with "
        "a turned "
        "bit: cut the counterbore from the other face");
  options.limits.motions = 100;
  CHECK(error("G21 F9 G18 G2 X100 Z0 R50\nM2") ==
        "p.ngc:1:12: this arc stands for too many straight lines: split the program");
}
