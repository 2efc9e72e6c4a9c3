#pragma once
#include <array>
#include <cstdint>
#include <vector>

#include "sim/solid/point3.hpp"

namespace ovolo {

/// The surface of a solid: triangles, counter-clockwise seen from outside. Closed: every edge belongs to two
/// triangles, which run along it in opposite senses.
struct SolidMesh {
  using Triangle = std::array<std::uint32_t, 3>;
  std::vector<Point3> vertices;
  std::vector<Triangle> triangles;

  /// mm^3, summed in order.
  double volume() const;
  /// Number of edges that break the promise above.
  std::size_t open_edges() const;
};

/// Takes away vertices that lie in a plane, or on a straight line where two planes meet, with all triangles
/// around them, to 1e-7 mm. The surface stays where it is, and closed.
void flatten(SolidMesh& mesh);

/// Cuts triangles along the planes z = height, so that none reaches over one.
void split_at_heights(SolidMesh& mesh, const std::vector<double>& heights);

}  // namespace ovolo
