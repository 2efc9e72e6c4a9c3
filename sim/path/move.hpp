#pragma once
#include <cstdint>
#include <vector>

#include "sim/bit/profile.hpp"
#include "sim/geometry/contour.hpp"

namespace ovolo {

/// What a move does in the job; time, loads and warnings depend on it, the cut surface does not.
enum class MoveRole : std::uint8_t { cut, ramp, plunge, lead, rapid };

/// One straight or circular move of a bit's tip. The plan path is `path`; the tip's height runs linearly
/// along it from z0 to z1 (mm, Z up, 0 on the nominal face). A plunge is a line with a == b. With region >= 0
/// the move is a level move over an area: dist is 0 inside it, `path` is unused.
struct Move {
  Segment path;
  double z0 = 0, z1 = 0;
  std::uint32_t bit = 0;        ///< index into Job::bits
  std::uint32_t operation = 0;  ///< index into Job::operations
  std::uint32_t pass = 0;       ///< from 0
  std::uint32_t set_up = 0;     ///< 0, then +1 for each turn of the sheet
  std::uint32_t surface = 0;    ///< index into Plan::surfaces; 0 is the flat sheet
  std::int32_t region = -1;     ///< index into Plan::regions, or -1
  std::int32_t line = 0;        ///< source line of a program, 0 when there is none
  MoveRole role = MoveRole::cut;
  /// false: only time and loads follow it. What it cuts lies within what another move cuts (the rings of a
  /// pocket within its region move, a descent within the pass before), so that the surface and the index
  /// leave it out.
  bool counted = true;
  double feed = 0;     ///< mm/min; 0 for rapids
  double spindle = 0;  ///< rpm

  bool level() const { return z0 == z1; }
};

/// An area cleared at one height: the axis may be anywhere inside. Outer contours counter-clockwise, holes
/// clockwise; they do not cross.
struct Region {
  std::vector<Contour> loops;
  /// 0 inside, else the distance to the nearest boundary.
  double distance(Vec2 p) const;
  Box2 box() const;
};

/// Height of the surface that one move alone would leave at p: min over the move of z + f(dist). +inf where
/// the bit does not reach. Exact to 0.1 um for ramps and helices on every profile (rapids count too: ask the
/// role).
double swept_height(const Move& move, const Profile& profile, const std::vector<Region>& regions, Vec2 p);

}  // namespace ovolo
