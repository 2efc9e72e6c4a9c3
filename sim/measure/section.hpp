#pragma once
#include <cstdint>
#include <limits>
#include <vector>

#include "sim/geometry/segment.hpp"
#include "sim/job.hpp"
#include "sim/path/move_index.hpp"

namespace ovolo {

/// Where a piece of a section comes from.
enum class SectionFace : std::uint8_t { top, cut };

/// One piece of a section's outline, running outward: from the wall side (small u) to the part's middle
/// (large u).
struct SectionPiece {
  enum class Kind : std::uint8_t { line, arc, curve };
  Kind kind = Kind::line;
  Segment shape;             ///< line and arc pieces, exact; for a curve the chord
  std::vector<Vec2> points;  ///< curve pieces: points within 0.05 um of the true curve, ends included
  SectionFace face = SectionFace::top;
  std::int32_t move = -1;           ///< index into Plan::moves; -1 the untouched face
  std::int32_t profile_piece = -1;  ///< index into Profile::pieces(); -1 an upright wall or the face
  Vec2 start() const { return shape.a; }
  Vec2 end() const { return shape.b; }
};

/// The finished sheet's boundary in the plane normal to a contour: x = u (mm into the part from the wall), y
/// = z. Pieces join end to end from u = 0+ to u = u_max; upright jumps are pieces of their own.
struct Section {
  std::vector<SectionPiece> pieces;
  double u_max = 0;
};

/// One cut as seen in a section plane: tip height and distance from the path as functions of u.
/// Straight or concentric paths have a distance that is linear in u and give exact pieces.
struct SectionLine {
  Vec2 origin;   ///< point on the contour
  Vec2 normal;   ///< unit, into the part
  double u_max;  ///< how far to go
};

/// The section along `line`, from the moves: their lower envelope, with the points where the owner changes
/// solved to 1e-9 mm.
Section make_section(const Job& job, const Plan& plan, const MoveIndex& index, const SectionLine& line);

}  // namespace ovolo
