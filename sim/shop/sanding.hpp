#pragma once
#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "sim/measure/edge.hpp"
#include "sim/shop/curve_marks.hpp"
#include "sim/shop/grit.hpp"
#include "sim/shop/sand_rates.hpp"

namespace ovolo {

enum class SandClass : std::uint8_t { nothing, touch, one_grit, two_grits, recut };
constexpr std::size_t kSandClasses = 5;
/// "nothing to do", "touch", "one grit", "two grits", "recut".
const char* name_of(SandClass c);

/// What one place of an edge needs. Lengths mm, sections mm^2.
struct SandNeed {
  double depth = 0;    ///< the most that must come off anywhere in the section
  double blend = 0;    ///< section that makes lip and band fair
  double marks = 0;    ///< section of the crests, down to the valleys
  double ease = 0;     ///< section that eases breaks above the wishes
  double surface = 0;  ///< mm of surface along the section that is gone over
  SandClass level = SandClass::nothing;
  double section() const { return blend + marks + ease; }
};

/// The need of a measured section with the marks its cuts left, both faces of a form that works on both. A
/// lip or band within the wishes is left
/// alone, marks below `feel` likewise, and so is the part of a break that the wanted form has of its own
/// (radians).
SandNeed sand_need(const SectionMeasures& section, const CurveMarks& marks, const Wishes& wishes,
                   const SandLimits& limits, double own_face_break = 0, double own_wall_break = 0);

/// One grit's share of the work on one part, or of a stretch.
struct GritWork {
  int number = 0;
  double length = 0;  ///< mm of edge gone over
  double volume = 0;  ///< mm^3 taken off: what is in the way, then the scratches of the grit before
};

struct SandClassShare {
  double length = 0;  ///< mm of contour
  double volume = 0;  ///< mm^3 to come off
};

/// The sanding of one edge, all its copies together.
struct EdgeSanding {
  std::uint32_t operation = 0;
  std::string contour;
  std::array<SandClassShare, kSandClasses> classes{};  ///< by SandClass
  SandClass worst = SandClass::nothing;
  std::vector<GritWork> grits;      ///< in order of use
  double volume = 0;                ///< mm^3, all grits
  double equivalent = 0;            ///< mm^3 of P120's work
  double stroke = 0;                ///< mm of edge gone over, counted for each grit
  std::vector<std::string> beyond;  ///< what sanding cannot mend, and what to do instead
};

/// The sanding of one edge from its stations; `marks` holds one entry for all stations, or one for each.
EdgeSanding sand_edge(const EdgeMeasures& edge, const std::vector<CurveMarks>& marks, const Job& job,
                      const SandLimits& limits);

/// Seconds and sheets of abrasive for work of that size on so many parts.
struct SandTime {
  Ranged seconds;
  double sheets = 0;
};
/// handling * parts + per_metre * stroke + per_mm3 * equivalent, the range by taking every rate low or high.
/// Parts whose edges need nothing are not picked up.
SandTime sand_time(const std::vector<EdgeSanding>& edges, double parts, const SandRates& rates);

}  // namespace ovolo
