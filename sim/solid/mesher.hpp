#pragma once
#include <cstddef>

#include "sim/progress.hpp"
#include "sim/solid/finished_sheet.hpp"
#include "sim/solid/mesh.hpp"

namespace ovolo {

struct MeshOptions {
  /// mm: how far the mesh may lie from curves of radius 20 times this or more (dual cells of 12.5 times
  /// this). Edges where faces meet are kept sharp; what is narrower than a cell can be
  /// lost, which MeshMiss tells.
  double tolerance = 0.02;
  std::size_t memory_limit = 0;  ///< bytes; 0: what the machine has free
  Progress* progress = nullptr;
};

/// Where the mesh lies farthest from the surface, of the corners and middles of its triangles before they are
/// thinned out; more than the tolerance where something narrower than a cell is lost.
struct MeshMiss {
  double distance = 0;  ///< mm; the true distance may be a little more
  Point3 at;
};

double mesh_cell(double tolerance);

/// The surface of the finished sheet by dual contouring: a vertex for each sheet of the surface in each cell,
/// where the tangent planes at its exact crossings with the cell's edges meet (least squares). Closed and
/// manifold also where sheets come close; flat areas are thinned out. Of the part, loose pieces that none of
/// its contours' kept sides belong to are left out. The same for any number of threads.
/// Throws MemoryError, before it is built, when it does not fit, naming the tolerance that would; JobError
/// when nothing is left of the material.
SolidMesh make_mesh(const FinishedSheet& sheet, const MeshOptions& options, MeshMiss* miss = nullptr);

/// The same, made anew with half the cell, twice at the most and as far as memory goes, while something narrow
/// is lost that leaves it farther from the surface than the tolerance asked for.
SolidMesh make_mesh_within(const FinishedSheet& sheet, MeshOptions options, MeshMiss& miss);

}  // namespace ovolo
