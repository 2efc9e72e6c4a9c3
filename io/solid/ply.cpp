#include <fmt/format.h>

#include "io/solid/files.hpp"
#include "io/solid/little_endian.hpp"

namespace ovolo::io {

std::string ply_text(const LayeredSolid& solid) {
  const SolidMesh& mesh = solid.mesh;
  std::string out = fmt::format(
      "ply\nformat binary_little_endian 1.0\ncomment ovolo solid, mm\nelement vertex {}\nproperty double x\n"
      "property double y\nproperty double z\nelement face {}\nproperty list uchar int vertex_indices\n"
      "property uchar red\nproperty uchar green\nproperty uchar blue\nend_header\n",
      mesh.vertices.size(), mesh.triangles.size());
  out.reserve(out.size() + 24 * mesh.vertices.size() + 16 * mesh.triangles.size());
  for (const Point3& p : mesh.vertices)
    for (const double v : {p.x, p.y, p.z}) put(out, v);
  for (const auto& t : mesh.triangles) {
    put(out, std::uint8_t{3});
    for (const std::uint32_t v : t) put(out, static_cast<std::int32_t>(v));
    for (const std::uint8_t c : solid.stock.layers[layer_of(solid, t)].color) put(out, c);
  }
  return out;
}

}  // namespace ovolo::io
