#include "sim/solid/mesh.hpp"

#include <algorithm>
#include <cmath>
#include <unordered_map>

namespace ovolo {
namespace {

std::uint64_t key(std::uint32_t a, std::uint32_t b) { return (std::uint64_t{a} << 32) | b; }

}  // namespace

double SolidMesh::volume() const {
  if (vertices.empty()) return 0;
  const Point3 o = vertices.front();  // near the solid: nothing is lost to large coordinates
  double six = 0;
  for (const Triangle& t : triangles)
    six += dot(vertices[t[0]] - o, cross(vertices[t[1]] - o, vertices[t[2]] - o));
  return six / 6;
}

std::size_t SolidMesh::open_edges() const {
  std::vector<std::uint64_t> ways;
  ways.reserve(3 * triangles.size());
  for (const Triangle& t : triangles)
    for (std::size_t i = 0; i < 3; ++i) ways.push_back(key(t[i], t[(i + 1) % 3]));
  std::sort(ways.begin(), ways.end());
  std::size_t open = 0;
  for (std::size_t i = 0; i < ways.size(); ++i) {
    const bool twice = i > 0 && ways[i] == ways[i - 1];
    const std::uint64_t back = (ways[i] << 32) | (ways[i] >> 32);
    if (twice || !std::binary_search(ways.begin(), ways.end(), back)) ++open;
  }
  return open;
}

void split_at_heights(SolidMesh& mesh, const std::vector<double>& heights) {
  constexpr double kOn = 1e-6;
  for (const double z : heights) {
    for (Point3& v : mesh.vertices)
      if (std::abs(v.z - z) < kOn) v.z = z;
    std::unordered_map<std::uint64_t, std::uint32_t> cuts;
    const auto cut = [&](std::uint32_t a, std::uint32_t b) {
      if (a > b) std::swap(a, b);
      const auto [it, fresh] = cuts.try_emplace(key(a, b), static_cast<std::uint32_t>(mesh.vertices.size()));
      if (fresh) {
        const Point3 p = mesh.vertices[a], q = mesh.vertices[b];
        Point3 at = p + ((z - p.z) / (q.z - p.z)) * (q - p);
        at.z = z;
        mesh.vertices.push_back(at);
      }
      return it->second;
    };
    const std::size_t count = mesh.triangles.size();
    for (std::size_t i = 0; i < count; ++i) {
      SolidMesh::Triangle t = mesh.triangles[i];
      const auto side = [&](std::uint32_t v) {
        const double d = mesh.vertices[v].z - z;
        return d > 0 ? 1 : d < 0 ? -1 : 0;
      };
      // Turned so that the first corner is alone on its side.
      int turns = 0;
      const auto alone = [&] {
        const int s = side(t[0]), s1 = side(t[1]), s2 = side(t[2]);
        return (s != 0 && s1 == -s && s2 == -s) || (s == 0 && s1 != 0 && s1 == -s2);
      };
      while (turns < 3 && !alone()) {
        std::rotate(t.begin(), t.begin() + 1, t.end());
        ++turns;
      }
      if (turns == 3) continue;
      if (side(t[0]) == 0) {
        const std::uint32_t m = cut(t[1], t[2]);
        mesh.triangles[i] = {t[0], t[1], m};
        mesh.triangles.push_back({t[0], m, t[2]});
      } else {
        const std::uint32_t m = cut(t[0], t[1]), n = cut(t[0], t[2]);
        mesh.triangles[i] = {t[0], m, n};
        mesh.triangles.push_back({m, t[1], t[2]});
        mesh.triangles.push_back({m, t[2], n});
      }
    }
  }
}

}  // namespace ovolo
