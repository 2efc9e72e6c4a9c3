#include "sim/solid/pieces.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/geometry/vec.hpp"
#include "sim/solid/joined.hpp"

namespace ovolo {
namespace {

struct Shell {
  std::vector<std::uint32_t> triangles;
  Box2 box;
  double six_volumes = 0;  // negative for the wall of a hollow
  bool kept = false;
};

// The solid angle that the shell covers as seen from p, in turns of the whole sphere: 1 within, 0 outside
// (van Oosterom and Strackee 1983, for each triangle).
bool encloses(const SolidMesh& mesh, const Shell& shell, Point3 p) {
  if (!shell.box.contains({p.x, p.y})) return false;
  double angle = 0;
  for (const std::uint32_t t : shell.triangles) {
    const Point3 a = mesh.vertices[mesh.triangles[t][0]] - p, b = mesh.vertices[mesh.triangles[t][1]] - p,
                 c = mesh.vertices[mesh.triangles[t][2]] - p;
    const double la = length(a), lb = length(b), lc = length(c);
    angle +=
        2 * std::atan2(dot(a, cross(b, c)), la * lb * lc + dot(a, b) * lc + dot(b, c) * la + dot(c, a) * lb);
  }
  return std::abs(angle) > 2 * std::numbers::pi;
}

std::vector<Shell> shells_of(const SolidMesh& mesh) {
  Joined joined(mesh.vertices.size());
  for (const auto& t : mesh.triangles) {
    joined.join(t[0], t[1]);
    joined.join(t[0], t[2]);
  }
  std::vector<std::int32_t> number(mesh.vertices.size(), -1);
  std::vector<Shell> shells;
  for (std::uint32_t t = 0; t < mesh.triangles.size(); ++t) {
    const auto& corners = mesh.triangles[t];
    std::int32_t& n = number[joined.find(corners[0])];
    if (n < 0) {
      n = static_cast<std::int32_t>(shells.size());
      shells.emplace_back();
    }
    Shell& shell = shells[static_cast<std::size_t>(n)];
    shell.triangles.push_back(t);
    for (const std::uint32_t v : corners) shell.box.add(Vec2{mesh.vertices[v].x, mesh.vertices[v].y});
    const Point3 o = mesh.vertices.front();
    shell.six_volumes += dot(mesh.vertices[corners[0]] - o,
                             cross(mesh.vertices[corners[1]] - o, mesh.vertices[corners[2]] - o));
  }
  return shells;
}

}  // namespace

std::size_t keep_pieces(SolidMesh& mesh, const std::vector<Point3>& places) {
  std::vector<Shell> shells = shells_of(mesh);
  const auto solid = [](const Shell& s) { return s.six_volumes > 0; };
  const auto count = static_cast<std::size_t>(std::count_if(shells.begin(), shells.end(), solid));
  if (count < 2 || places.empty()) return count;
  std::size_t left = count;  // pieces that no place is known in
  for (const Point3& p : places) {
    if (left == 0) break;
    const bool known = std::any_of(shells.begin(), shells.end(),
                                   [&](const Shell& s) { return s.kept && encloses(mesh, s, p); });
    if (known) continue;
    for (Shell& s : shells)
      if (solid(s) && !s.kept && encloses(mesh, s, p)) {
        s.kept = true;
        --left;
        break;
      }
  }
  if (left == count) return count;
  for (Shell& hollow : shells) {
    if (solid(hollow)) continue;
    const Point3 p = mesh.vertices[mesh.triangles[hollow.triangles.front()][0]];
    hollow.kept = std::any_of(shells.begin(), shells.end(),
                              [&](const Shell& s) { return solid(s) && s.kept && encloses(mesh, s, p); });
  }
  std::vector<char> keep(mesh.triangles.size(), 0);
  for (const Shell& s : shells)
    if (s.kept)
      for (const std::uint32_t t : s.triangles) keep[t] = 1;
  std::size_t n = 0;
  for (std::size_t t = 0; t < keep.size(); ++t)
    if (keep[t] != 0) mesh.triangles[n++] = mesh.triangles[t];
  mesh.triangles.resize(n);
  return count - left;
}

}  // namespace ovolo
