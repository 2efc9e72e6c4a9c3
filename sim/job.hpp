#pragma once
#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "sim/advise/errors.hpp"
#include "sim/advise/variation.hpp"
#include "sim/bit/profile.hpp"
#include "sim/bit/roundover.hpp"
#include "sim/geometry/contour.hpp"
#include "sim/shop/inputs.hpp"
#include "sim/shop/pass_split.hpp"
#include "sim/stock/sheet_shape.hpp"

namespace ovolo {

/// Where something was written, for messages; 1-based, 0 when unknown.
struct Source {
  std::string file;
  int line = 0;
  int column = 0;
};

struct Layer {
  std::string name;
  double thickness = 0;                              ///< mm, > 0
  std::array<std::uint8_t, 3> color{200, 200, 200};  ///< sRGB
};

/// The sheet: [0, width] x [0, height] in plan, Z from -thickness() to 0; layers from the top face down.
struct Stock {
  double width = 0;
  double height = 0;
  std::vector<Layer> layers;
  double spoilboard = 1;  ///< mm the bit may run below the sheet
  Source source;
  double thickness() const;
};

/// A curve in the section plane (u, z), from the wall's foot (0, -depth) to the face (width, 0): what an edge
/// should be. u from the wall into the part, z = 0 the face.
struct WantedForm {
  std::vector<Segment> curve;
  double width = 0;
  double depth = 0;
  /// Depth below the face (>= 0) wanted at u >= 0; 0 beyond the width.
  double depth_at(double u) const;
  /// Quarter circle tangent to the face and the wall.
  static WantedForm round(double radius);
};

/// By how much of its size a form may come out smaller or larger where no break at face or wall tells.
inline constexpr double kSizeAllowed = 0.1;

/// One value read off a bit, mm; a flat or a width across as a caliper gives it.
struct BitReading {
  std::string what;  ///< "working_depth", "tip_flat" or "cutting_diameter"
  double value = 0;
  double error = 0.03;             ///< one standard deviation
  std::string date;                ///< "2024-05-02", empty when it is not told
  std::optional<double> run = {};  ///< metres of edge the bit had cut by then
};

/// Which faces of the sheet a form works on when it passes the edge.
enum class FormFaces : std::uint8_t { top, bottom, both };

/// A bit of the shop, as its form and readings describe it.
struct Bit {
  std::string id;
  std::string form;
  Profile profile;
  WantedForm wanted;                   ///< the form's own curve; a round of the nominal radius for roundovers
  double nominal_radius = 0;           ///< mm, 0 when the form has none
  double working_depth = 0;            ///< mm, tip up to where the curve ends
  std::optional<Roundover> roundover;  ///< what the readings gave, for point-cutting roundovers
  std::optional<double> cutting_length;
  std::optional<double> shank_diameter;
  FormFaces faces = FormFaces::top;   ///< a bottom round works on the lower face, a bullnose on both
  std::optional<double> neck_from;    ///< mm above the tip: from here on the neck does not cut
  std::optional<double> max_spindle;  ///< rpm marked on the bit
  int flutes = 2;
  std::string date;                  ///< of the readings, "2024-05-02"; empty when it is not told
  std::vector<BitReading> readings;  ///< all that were kept, older ones too
  std::vector<std::string> notes;    ///< of a drawn one: where its axis was taken, what is undercut
  Source source;
};

enum class OperationKind : std::uint8_t { edge, pocket, cut_out, program, turn };
/// Which side of a contour is the part. Left and right are of an open contour's travel.
enum class Keep : std::uint8_t { inside, outside, left, right };
enum class Direction : std::uint8_t { conventional, climb };
enum class Corner : std::uint8_t { round, mitre };

/// One straight or circular motion read from a machine program, in sheet coordinates: in plan as seen from
/// the top face, heights from the face that is up.
struct ProgramMotion {
  Segment path;
  double z0 = 0, z1 = 0;
  bool rapid = false;
  bool spindle_on = true;
  double feed = 0;     ///< mm/min
  double spindle = 0;  ///< rpm
  std::uint32_t bit = 0;
  int line = 0;
};

/// What reading a machine program found to warn of.
struct ProgramRemark {
  std::string code;  ///< short, lower case with dashes
  std::string text;  ///< what is wrong and what to change
  Source source;     ///< in the program
};

/// The sheet is turned over about a line parallel to X or Y and laid into the same corner; what was the lower
/// face is up for all later operations. `error` is how far it lies from its place, in the machine's X and Y,
/// `angle` (radians, counter-clockwise seen from above) how far it is turned about the machine's corner.
struct Turn {
  enum class About : std::uint8_t { x, y } about = About::y;
  Vec2 error;
  double angle = 0;
  double time = 0;  ///< s at the machine
};

struct Tabs {
  int count = 0;
  double width = 0;   ///< mm along the path, at the narrowest: where the bit's axis passes
  double height = 0;  ///< mm above the sheet's lower face
};

struct Operation {
  std::string name;
  OperationKind kind = OperationKind::edge;
  std::uint32_t bit = 0;
  std::int32_t contour = -1;  ///< index into Job::contours
  Keep keep = Keep::inside;
  double offset = 0;               ///< axis off the line, away from the part, mm
  double depth = 0;                ///< positive downwards, mm
  std::vector<double> passes;      ///< rising depths, the last equal to depth; never empty after reading
  std::optional<PassSplit> split;  ///< how `passes` came from the depth; empty for a list
  double feed = 0;                 ///< mm/min; 0 when the scene does not say
  double plunge_feed = 0;          ///< mm/min; likewise
  double spindle = 0;              ///< rpm; likewise
  double ramp = 0;                 ///< plan length of the ramp into each pass, mm; 0 plunges
  double overlap = 0;              ///< how far a closed pass runs on past its start, beyond the ramp, mm
  double stepover = 0;             ///< pockets, mm
  Direction direction = Direction::conventional;
  Corner corner = Corner::round;  ///< path at sharp convex corners
  double start = 0;               ///< arc length along the contour where the pass begins, mm
  double lead_in = 0;             ///< radius of the quarter-circle approach, mm; 0 for none. An undercut bit
                                  ///< leaves on such an arc too
  double overrun = 0;             ///< how far an open path begins before and ends after the contour, mm
  Tabs tabs;
  Turn turn;  ///< of a turn; it has no bit and no contour
  std::optional<WantedForm> wanted;
  std::vector<ProgramMotion> program;
  std::string program_file;
  Vec2 program_zero;  ///< where the program's zero lies on the sheet
  std::vector<ProgramRemark> remarks;
  std::vector<std::string> notes;  ///< of a program: what it makes use of, its messages
  Source source;
};

/// A contour of the scene with its copies: each edge is cut once for every entry of `at`.
struct NamedContour {
  std::string id;
  Contour contour;
  std::vector<Vec2> at{{0, 0}};
  std::vector<std::string> notes;  ///< of a drawn one: its size, its units, what was joined or left out
  Source source;
};

/// What the shop wants of every edge; angles in radians, lengths in mm.
struct Wishes {
  double lip = 0.015;
  double band = 0.1;
  double face_break = 0.2617993877991494;  // 15 degrees
  double wall_break = 0.4363323129985824;  // 25 degrees
  std::vector<std::string> hidden;         ///< layers that must not show on the moulded surface
};

/// Everything the scene says, in mm and radians, checked; what the rest of sim works from.
struct Job {
  std::string title;
  std::string file;
  bool inch = false;           ///< the units the scene was written in
  bool units_assumed = false;  ///< it did not say, and has lengths without a unit
  Stock stock;
  std::vector<Bit> bits;
  std::vector<NamedContour> contours;
  std::vector<Operation> operations;
  Wishes wishes;
  ShopInputs shop;
  SettingErrors errors;  ///< runout is the machine's unless the scene says otherwise
  SheetShape shape;
  Variation variation;
};

}  // namespace ovolo
