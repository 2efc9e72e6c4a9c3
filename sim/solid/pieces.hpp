#pragma once
#include <vector>

#include "sim/solid/mesh.hpp"

namespace ovolo {

/// Leaves of a closed mesh the pieces that enclose one of the places, with what they enclose; the number of
/// pieces that are left. Keeps all of it when it is one piece or none encloses a place.
std::size_t keep_pieces(SolidMesh& mesh, const std::vector<Point3>& places);

}  // namespace ovolo
