#include <fmt/format.h>

#include <iterator>

#include "io/solid/files.hpp"

namespace ovolo::io {
namespace {

// Materials are named by number: a layer's name may hold blanks.
std::string material(std::size_t layer) { return fmt::format("layer_{}", layer + 1); }

std::string one_line(std::string text) {
  for (char& c : text)
    if (c == '\n' || c == '\r') c = ' ';
  return text;
}

}  // namespace

std::string obj_text(const LayeredSolid& solid, const std::string& materials_file) {
  const SolidMesh& mesh = solid.mesh;
  std::string out = fmt::format("# {}, mm\nmtllib {}\n", one_line(solid.title), materials_file);
  auto to = std::back_inserter(out);
  for (const Point3& p : mesh.vertices) fmt::format_to(to, "v {:.9g} {:.9g} {:.9g}\n", p.x, p.y, p.z);
  std::vector<std::vector<std::uint32_t>> of_layer(solid.stock.layers.size());
  for (std::uint32_t i = 0; i < mesh.triangles.size(); ++i)
    of_layer[layer_of(solid, mesh.triangles[i])].push_back(i);
  for (std::size_t layer = 0; layer < of_layer.size(); ++layer) {
    if (of_layer[layer].empty()) continue;
    fmt::format_to(to, "usemtl {}\n", material(layer));
    for (const std::uint32_t i : of_layer[layer]) {
      const auto& t = mesh.triangles[i];
      fmt::format_to(to, "f {} {} {}\n", t[0] + 1, t[1] + 1, t[2] + 1);
    }
  }
  return out;
}

std::string obj_materials(const LayeredSolid& solid) {
  std::string out;
  for (std::size_t i = 0; i < solid.stock.layers.size(); ++i) {
    const Layer& layer = solid.stock.layers[i];
    out += fmt::format("# {}\nnewmtl {}\nKd {:.4f} {:.4f} {:.4f}\n", one_line(layer.name), material(i),
                       layer.color[0] / 255.0, layer.color[1] / 255.0, layer.color[2] / 255.0);
  }
  return out;
}

}  // namespace ovolo::io
