#pragma once
#include <optional>
#include <string>
#include <vector>

#include "sim/job.hpp"
#include "sim/measure/section.hpp"
#include "sim/path/move_index.hpp"
#include "sim/progress.hpp"

namespace ovolo {

/// Which face of the sheet something is measured from.
enum class Face : unsigned char { top, bottom };

/// What one section shows at the other face, for a form that works on both. As in SectionMeasures, seen from
/// that face.
struct OtherFace {
  std::optional<double> lip, band, face_break, wall_break, foot_depth;
  double round_width = 0;
  bool meets_face = true;
};

/// What one section shows. Lengths mm, angles radians. Values that do not exist (no foot on the wall) are
/// empty.
struct SectionMeasures {
  bool cut = false;                  ///< false: no operation has been here, the face meets the wall
  std::optional<double> lip;         ///< vertical rise that meets the local face
  std::optional<double> band;        ///< level run that meets the wall
  std::optional<double> face_break;  ///< angle face to curve, 0 is tangent
  std::optional<double> wall_break;  ///< angle curve to wall at the foot
  std::optional<double> foot_depth;  ///< below the nominal face
  double curve_length = 0;           ///< face to wall foot along the moulded surface, lip and band included
  std::vector<double> exposure;      ///< length of moulded surface per layer
  double excess = 0, gouge = 0;      ///< mm^2 above / below the wanted form
  double excess_max = 0, gouge_max = 0;  ///< mm along the wanted form's normal
  double excess_moment = 0,
         gouge_moment = 0;              ///< mm^3: first moments about u = 0, for volumes on curved contours
  std::vector<double> exposure_moment;  ///< mm^2: likewise
  double blend = 0, blend_moment = 0;   ///< least removal that makes the edge fair
  double round_width = 0;               ///< u where the moulded surface ends
  std::int32_t wall_operation = -1;     ///< operation that made the surface at the wall
  bool meets_face = true;    ///< false: the section's middle is reached before any face (a narrow web)
  bool near_corner = false;  ///< the section is cut short by a sharp convex corner beside it
  // Of folded sections only.
  bool meets_wall = false;          ///< the surface comes back to the wall: a groove in it, no face is met
  std::optional<OtherFace> other;   ///< a form that works on both faces: the lower one
  std::optional<double> wall_left;  ///< mm of wall between what is moulded at the top and at the bottom
  std::optional<double> mismatch;   ///< how much farther one half's foot is from its face than the other's
  std::optional<double> thinnest;   ///< least thickness left that is no taper to an edge
  double overcut = 0;               ///< mm by which the part ends short of the contour's line
};

/// What a section is measured against.
struct SectionContext {
  const Stock* stock = nullptr;
  const WantedForm* wanted = nullptr;
  const Wishes* wishes = nullptr;
  /// Per operation: true when its floors count as a local face (pockets), not as the moulded surface.
  std::vector<bool> makes_face;
  // Of folded sections:
  Face face = Face::top;        ///< the face measured from
  bool both = false;            ///< the form works on both faces: the other one is measured too
  std::int32_t operation = -1;  ///< whose surface is meant where the outline meets the wall more than once
};

/// Measures one section. Lip beyond the wanted form's own upright fillet at the face, band beyond its level
/// one at the foot; lengths hold to 1 um.
SectionMeasures measure_section(const Section& section, const SectionContext& context);

/// The least removal that makes an edge fair, mm^2: lip^2/(2 tan b) + band^2/(2 tan g), b and g the largest
/// allowed face and wall breaks.
double blend_section(double lip, double band, const Wishes& wishes);

/// Where a station stands: measured, or apart from the statistics.
enum class StationKind : unsigned char { edge, unreached, end };

struct Station {
  double s = 0;          ///< arc length along the contour, mm
  double weight = 0;     ///< mm of contour it stands for
  Vec2 point, normal;    ///< on the contour; into the part
  double reach = 0;      ///< mm along the normal that the section covers
  double curvature = 0;  ///< of the contour, positive when the part is convex there, 1/mm
  StationKind kind = StationKind::edge;
  SectionMeasures measures;
};

struct Stat {
  double min = 0, mean = 0, max = 0;
  Vec2 worst_at;
};

struct Exposure {
  std::string layer;
  Stat length;
  double area = 0;  ///< mm^2
};

struct Deviation {
  Stat section;
  double max = 0;     ///< mm
  double volume = 0;  ///< mm^3
};

struct Unreached {
  Vec2 at;            ///< middle of the stretch
  double length = 0;  ///< mm of contour
  std::string reason;
};

/// Is it good? `text` is the whole of it: what is wrong, what to change, what else there is to say; of a job
/// the edges' texts.
struct Verdict {
  bool good = true;
  std::string text;
  std::string wrong = {};  ///< what is wrong, by itself
  std::string mend = {};   ///< what to change
  std::string also = {};   ///< what spoils it beside the measures: moves that they do not hold
};

struct Warning {
  std::string code;  ///< short, lower case with dashes
  std::string text;  ///< what is wrong and what to change
  int operation = -1;
  Source source;
};

/// The other face of an edge whose form works on both.
struct OtherFaceStats {
  std::optional<Stat> lip, band, face_break, wall_break, foot_depth, round_width;
};

/// One edge operation on one copy of its contour.
struct EdgeMeasures {
  std::uint32_t operation = 0;
  std::string contour;  ///< id
  std::vector<Vec2> copies{
      {0, 0}};        ///< shifts of all copies whose measures are equal to this one's, itself included
  double length = 0;  ///< mm of contour
  std::vector<Station> stations;
  std::optional<Stat> lip, band, face_break, wall_break, foot_depth, curve_length, round_width;
  Face face = Face::top;                ///< which face all this is seen from
  std::optional<OtherFaceStats> other;  ///< the lower face, for a form that works on both
  /// Of folded sections: wall left between the moulded surfaces, how unlike a form's halves are, the smallest
  /// thickness left, how far the part ends short of the line.
  std::optional<Stat> wall_left, mismatch, thinnest, overcut;
  double own_face_break = 0, own_wall_break = 0;  ///< the wanted form's own angles; only more is a break
  std::vector<Exposure> exposure;
  Deviation excess, gouge;
  double blend_mean = 0, blend_volume = 0;  ///< mm^2, mm^3
  double web = 0;  ///< mm of contour where the section meets no face: too narrow a web
  std::vector<Unreached> unreached, ends;
  std::vector<std::string> shared_with;  ///< names of the other edge operations on this contour
  Verdict verdict;
};

struct Measures {
  std::vector<EdgeMeasures> edges;  ///< in scene order
  std::vector<Warning> warnings;
  Verdict verdict;
};

/// What an edge operation is measured against: its own wanted form, else its bit's (of a chamfer as much as
/// its setting makes), else the rebate a plain cutter leaves.
WantedForm wanted_form(const Operation& operation, const Bit& bit);

struct MeasureOptions {
  double spacing = 5;  ///< mm between stations on long straight runs
  Progress* progress = nullptr;
};

Measures measure(const Job& job, const Plan& plan, const MoveIndex& index,
                 const MeasureOptions& options = {});

}  // namespace ovolo
