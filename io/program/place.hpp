#pragma once
#include <array>
#include <cstddef>
#include <cstdint>
#include <stdexcept>
#include <string>

#include "sim/geometry/vec.hpp"

namespace ovolo::io {

/// A place in a program, 1-based; the column counts characters.
struct LineColumn {
  int line = 0;
  int column = 0;
  friend auto operator<=>(const LineColumn&, const LineColumn&) = default;
};

/// A program cannot be read or honoured: what is wrong and how to mend it. The file is added by read_program.
class ProgramError : public std::runtime_error {
 public:
  ProgramError(LineColumn where, const std::string& what) : std::runtime_error(what), at(where) {}
  LineColumn at;
};

/// x, y, z in mm.
using Point3 = std::array<double, 3>;

/// The plane of arcs and canned cycles: G17, G18, G19.
enum class Plane : std::uint8_t { xy, xz, yz };

/// Indices into a Point3: a and b span the plane so that a turn from a to b is counter-clockwise seen from
/// the positive end of c.
struct PlaneAxes {
  std::size_t a, b, c;
  Vec2 in_plane(const Point3& p) const { return {p[a], p[b]}; }
  void set(Point3& p, Vec2 v) const {
    p[a] = v.x;
    p[b] = v.y;
  }
};

constexpr PlaneAxes axes_of(Plane plane) {
  if (plane == Plane::xy) return {0, 1, 2};
  if (plane == Plane::xz) return {2, 0, 1};
  return {1, 2, 0};
}

}  // namespace ovolo::io
