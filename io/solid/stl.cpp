#include <cstring>

#include "io/solid/files.hpp"
#include "io/solid/little_endian.hpp"

namespace ovolo::io {

std::string stl_text(const LayeredSolid& solid) {
  const SolidMesh& mesh = solid.mesh;
  std::string out = "ovolo solid, mm";
  out.resize(80, ' ');
  out.reserve(84 + 50 * mesh.triangles.size());
  put(out, static_cast<std::uint32_t>(mesh.triangles.size()));
  for (const auto& t : mesh.triangles) {
    const Point3 a = mesh.vertices[t[0]], b = mesh.vertices[t[1]], c = mesh.vertices[t[2]];
    Point3 n = cross(b - a, c - a);
    const double size = length(n);
    n = size > 0 ? (1 / size) * n : Point3{0, 0, 0};
    for (const Point3& p : {n, a, b, c})
      for (const double v : {p.x, p.y, p.z}) put(out, static_cast<float>(v));
    put(out, std::uint16_t{0});
  }
  return out;
}

}  // namespace ovolo::io
