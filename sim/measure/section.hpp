#pragma once
#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include "sim/geometry/segment.hpp"
#include "sim/job.hpp"
#include "sim/path/move_index.hpp"

namespace ovolo {

/// Where a piece of a section comes from. `bottom` and `wall` (the contour's line, u = 0) are of folded
/// sections only.
enum class SectionFace : std::uint8_t { top, cut, bottom, wall };

/// One piece of a section's outline, running outward: from the wall side (small u) to the part's middle
/// (large u).
struct SectionPiece {
  enum class Kind : std::uint8_t { line, arc, curve };
  Kind kind = Kind::line;
  Segment shape;             ///< line and arc pieces, exact; for a curve the chord
  std::vector<Vec2> points;  ///< curve pieces: points within 0.05 um of the true curve, ends included
  double start_slope = 0, end_slope = 0;  ///< dz/du at the ends of a curve piece: its chords do not tell it
  SectionFace face = SectionFace::top;
  std::int32_t move = -1;       ///< index into Plan::moves; -1 the untouched face
  std::int32_t operation = -1;  ///< of that move
  bool floor = false;           ///< left by a level part of the bit: level but for the sheet's own shape
  Vec2 start() const { return shape.a; }
  Vec2 end() const { return shape.b; }
  bool upright() const { return kind == Kind::line && shape.a.x == shape.b.x; }
  bool level() const { return kind == Kind::line && shape.a.y == shape.b.y; }
};

/// The finished sheet's boundary in the plane normal to a contour: x = u (mm into the part from the wall), y
/// = z. Pieces join end to end from u = 0 to u = u_max; upright jumps are pieces of their own. What stands
/// within the first 1 um is taken as the wall's: the first piece is the one that holds at u = 1 um, carried
/// on to u = 0.
///
/// A folded section (jobs that a heightfield cannot hold: undercut bits, turned sheets) is the boundary of
/// the part that holds the kept material, all the way round: from u_max along the lower face to the wall, up
/// the wall (face `wall`, or nothing where the two cuts meet), then outward to the top face and along it to
/// u_max. The material lies to the right of the way; u may fall and rise.
struct Section {
  std::vector<SectionPiece> pieces;
  double u_max = 0;
  bool folded = false;
  double thickness = 0;  ///< of the sheet, mm; of folded sections only
  /// What is hollow within the part and does not meet its outline: closed ways round, or from u_max back to
  /// u_max, the material to the right; of folded sections only.
  std::vector<std::vector<SectionPiece>> hollows;
  /// Least vertical thickness of the part that is no taper to an edge, mm; of folded sections only.
  std::optional<double> thinnest;
};

/// Where a section is taken.
struct SectionLine {
  Vec2 origin;       ///< point on the contour
  Vec2 normal;       ///< unit, into the part
  double u_max = 0;  ///< how far to go, mm
};

/// Makes sections of one plan; holds the work space, so use one per thread.
class SectionMaker {
 public:
  /// The plan, job and index must outlive it.
  SectionMaker(const Job& job, const Plan& plan, const MoveIndex& index);
  ~SectionMaker();
  SectionMaker(SectionMaker&&) noexcept;
  /// The lower envelope of all moves along `line`, or the folded section where the job needs one; where the
  /// owner changes is solved to 1e-9 mm.
  Section make(const SectionLine& line);
  /// The same for one full straight cut at depth `depth` with the axis `offset` outside the wall: no plan
  /// needed.
  static Section straight(const Profile& profile, double depth, double offset, double u_max);

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace ovolo
