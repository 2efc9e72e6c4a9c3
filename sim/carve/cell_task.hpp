#pragma once
#include <array>
#include <cstdint>
#include <span>

#include "sim/carve/climb_zones.hpp"

namespace ovolo {

/// One piece of a profile in single precision, heights above the tip, mm.
struct FloatPiece {
  /// clear_arc: an arc that is nowhere upright, for the kernels alone; `kind` says arc.
  enum class Kind : std::int32_t { level, cone, arc, shallow, clear_arc };
  Kind kind = Kind::level;
  float r1 = 0;     ///< outer end; the inner end is the piece before's
  float base = 0;   ///< level: h; cone: h at r = 0; arc: h of the centre; shallow: h at the inner end
  float slope = 0;  ///< cone
  float centre = 0, radius2 = 0;  ///< arc: r of the centre, the radius squared
  float side = 0;                 ///< arc, shallow: +1 the upper half, -1 the lower
  bool steep = false;             ///< arc: its tangent is upright, or nearly, at an end
  bool goes_on = false;           ///< starts at the height where the piece before ends
  // A shallow arc (of a radius far larger than the bit) is told from its inner end:
  // h = base + side * (twice_in - d) d / (upright + sqrt(upright^2 + (twice_in - d) d)), d = r - inner.
  float inner = 0, twice_in = 0, upright = 0;
};

/// q0 + q_x * x + q_y * y, with x and y counted in cells from the tile's first cell.
struct Linear {
  float at_first = 0, per_column = 0, per_row = 0;
};

/// What is to be done to the 64 x 64 cells of one tile, as plain numbers for the SIMD kernels. Lengths in mm,
/// places from the first cell's centre.
struct CellTask {
  enum class Path : std::int32_t {
    rows,        ///< straight along x: the distance depends on the row alone
    columns,     ///< straight along y
    strip,       ///< straight
    ring,        ///< a circle
    large_ring,  ///< a large circle
    far_ring,    ///< a circle whose centre is far from the tile: by a polynomial
    disc,        ///< one place
  };
  Path path = Path::disc;
  float* heights = nullptr;     ///< 64-byte aligned
  const float* next = nullptr;  ///< heights to ask for meanwhile
  float z = 0;                  ///< of the tip
  float reach = 0;              ///< cutting radius
  float cell = 0;
  const FloatPiece* piece = nullptr;  ///< those that the tile's distances can meet
  std::int32_t pieces = 0;
  /// Only cells where each is not negative are lowered: the stretch beside the path, or beyond its end.
  std::array<Linear, 2> within;
  std::int32_t limits = 0;

  Linear across;                                 ///< straight paths: signed distance
  float centre_x = 0, centre_y = 0, radius = 0;  ///< circles and places
  float excess = 0;                              ///< circles: rho^2 - radius^2 at the first cell
  /// Far circles: rho - radius as a polynomial in (rho^2 - radius^2 - excess_middle) * excess_scale.
  float excess_middle = 0, excess_scale = 0;
  std::array<float, 5> far{};
  std::int32_t far_degree = 4;  ///< 2, 3 or 4; what is beyond is 0
};

/// A kind of place behind the foot at which a climbing bit may cut lowest: the outer end of a profile piece
/// (its radius and height), the place on a cone, or one on a curved piece, told by a curve of the way back.
struct ClimbPlace {
  FloatPiece piece;
  float r0 = 0, h1 = 0;    ///< inner end, height of the outer one
  bool end = false;        ///< the piece's outer end
  float from = 0, to = 0;  ///< the y that can have it, as ClimbZone's
  float most_back = 0;     ///< how far back it can lie
  /// Past the high end it is lower than that end's round only for cells this far from the end, or farther.
  float past_from = 0;
  const SmoothCurve* curved = nullptr;  ///< curved pieces
};

/// What is to be done to a stretch of the tile beside a ramp or a helix.
struct ClimbPass {
  float from = 0, to = 0;  ///< distance from the path, as ClimbZone's y
  /// Where each is not negative, as CellTask's.
  std::array<Linear, 2> within;
  std::int32_t limits = 0;
  /// One of the two: what is left above the tip's height at the foot, or a kind of place, for the cells for
  /// which it lies on the path.
  const ClimbZone* zone = nullptr;
  const ClimbPlace* place = nullptr;
};

/// A ramp or a helix over one tile.
struct ClimbTask : CellTask {
  float slope = 0;   ///< mm per mm of path, > 0
  float length = 0;  ///< of the path
  // Straight: way from the low end, and the tip's height, at the foot. Circular: the place's coordinates
  // along the radius through the tile's middle and along the path's direction of climb there, from the
  // centre.
  Linear along, height;
  float turn = 0;                             ///< circular: the whole circle's length
  float along_middle = 0, height_middle = 0;  ///< circular: at the tile's middle
  /// circular: the tile is seen from the centre under so small an angle that its seventh power leaves no
  /// height
  bool small_angles = false;
};

/// Lowers the tile's cells by the task, with the widest vectors this machine has. Returns the cells looked
/// at.
std::int64_t lower_cells(const CellTask& task);
/// Lowers the tile's cells by the passes; the task's own limits tell which cells count as looked at.
std::int64_t lower_cells_climbing(const ClimbTask& task, std::span<const ClimbPass> passes);

/// The highest of a tile's 64 x 64 heights (64-byte aligned).
float highest_cell(const float* heights);

}  // namespace ovolo
