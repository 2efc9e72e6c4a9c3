#include <algorithm>
#include <cmath>

#include "sim/solid/mesh.hpp"

namespace ovolo {
namespace {

constexpr double kFlat = 1e-6;  // mm

class Flattener {
 public:
  explicit Flattener(SolidMesh& mesh) : mesh_(mesh) {}

  /// Takes vertices away that have no neighbour in common; how many.
  std::size_t pass() {
    index();
    locked_.assign(mesh_.vertices.size(), 0);
    gone_.assign(mesh_.triangles.size(), 0);
    std::size_t taken = 0;
    for (std::uint32_t v = 0; v < mesh_.vertices.size(); ++v)
      if (locked_[v] == 0 && begin_[v + 1] > begin_[v] && take(v)) ++taken;
    std::size_t kept = 0;
    for (std::size_t t = 0; t < mesh_.triangles.size(); ++t)
      if (gone_[t] == 0) mesh_.triangles[kept++] = mesh_.triangles[t];
    mesh_.triangles.resize(kept);
    return taken;
  }

  void drop_unused() {
    std::vector<std::uint32_t> to(mesh_.vertices.size(), 0);
    for (const auto& t : mesh_.triangles)
      for (const std::uint32_t v : t) to[v] = 1;
    std::uint32_t next = 0;
    for (std::size_t v = 0; v < to.size(); ++v) {
      if (to[v] == 0) continue;
      mesh_.vertices[next] = mesh_.vertices[v];
      to[v] = next++;
    }
    mesh_.vertices.resize(next);
    mesh_.vertices.shrink_to_fit();
    mesh_.triangles.shrink_to_fit();
    for (auto& t : mesh_.triangles)
      for (std::uint32_t& v : t) v = to[v];
  }

 private:
  void index() {
    begin_.assign(mesh_.vertices.size() + 1, 0);
    for (const auto& t : mesh_.triangles)
      for (const std::uint32_t v : t) ++begin_[v + 1];
    for (std::size_t v = 0; v + 1 < begin_.size(); ++v) begin_[v + 1] += begin_[v];
    around_.resize(3 * mesh_.triangles.size());
    std::vector<std::uint32_t> at(begin_.begin(), begin_.end() - 1);
    for (std::uint32_t t = 0; t < mesh_.triangles.size(); ++t)
      for (const std::uint32_t v : mesh_.triangles[t]) around_[at[v]++] = t;
  }

  Point3 doubled_area(const SolidMesh::Triangle& t) const {
    const Point3 a = mesh_.vertices[t[0]];
    return cross(mesh_.vertices[t[1]] - a, mesh_.vertices[t[2]] - a);
  }

  // The triangle's vertices after v, in its sense.
  static std::pair<std::uint32_t, std::uint32_t> beyond(const SolidMesh::Triangle& t, std::uint32_t v) {
    return v == t[0] ? std::pair{t[1], t[2]} : v == t[1] ? std::pair{t[2], t[0]} : std::pair{t[0], t[1]};
  }

  void neighbours(std::uint32_t v, std::vector<std::uint32_t>& out) const {
    out.clear();
    for (std::uint32_t i = begin_[v]; i < begin_[v + 1]; ++i)
      out.push_back(beyond(mesh_.triangles[around_[i]], v).first);
    std::sort(out.begin(), out.end());
  }

  // Splits the triangles around v into one or two planes; false when they lie in more.
  bool planes(std::uint32_t v) {
    const std::uint32_t first = begin_[v], count = begin_[v + 1] - first;
    group_.assign(count, -1);
    for (int g = 0; g < 2; ++g) {
      double most = 0;
      Point3 n;
      for (std::uint32_t i = 0; i < count; ++i) {
        if (group_[i] >= 0) continue;
        const Point3 area = doubled_area(mesh_.triangles[around_[first + i]]);
        if (dot(area, area) > most) {
          most = dot(area, area);
          n = area;
        }
      }
      if (most == 0) return g == 1 && std::count(group_.begin(), group_.end(), -1) == 0;
      normal_[static_cast<std::size_t>(g)] = n = (1 / std::sqrt(most)) * n;
      const Point3 o = mesh_.vertices[v];
      for (std::uint32_t i = 0; i < count; ++i) {
        if (group_[i] >= 0) continue;
        const auto& t = mesh_.triangles[around_[first + i]];
        const auto [a, b] = beyond(t, v);
        if (std::abs(dot(n, mesh_.vertices[a] - o)) < kFlat &&
            std::abs(dot(n, mesh_.vertices[b] - o)) < kFlat && dot(n, doubled_area(t)) > 0)
          group_[i] = g;
      }
      if (std::find(group_.begin(), group_.end(), -1) == group_.end()) return true;
    }
    return false;
  }

  // Neighbours that v may be drawn into.
  void candidates(std::uint32_t v) {
    candidates_.clear();
    const std::uint32_t first = begin_[v], count = begin_[v + 1] - first;
    const bool edge = std::find(group_.begin(), group_.end(), 1) != group_.end();
    for (std::uint32_t i = 0; i < count; ++i) {
      const auto [next, last] = beyond(mesh_.triangles[around_[first + i]], v);
      if (!edge) {
        candidates_.push_back(next);
        continue;
      }
      for (std::uint32_t j = 0; j < count; ++j)
        if (group_[i] != group_[j] && beyond(mesh_.triangles[around_[first + j]], v).second == next)
          candidates_.push_back(next);
    }
    if (!edge) return;
    if (candidates_.size() != 2) {
      candidates_.clear();
      return;
    }
    const Point3 a = mesh_.vertices[candidates_[0]], b = mesh_.vertices[candidates_[1]];
    if (length(cross(b - a, mesh_.vertices[v] - a)) > kFlat * length(b - a)) candidates_.clear();
  }

  // How well shaped the triangles are when v goes into w: the flattest's height over its longest side; 0
  // when it must not be.
  double shape(std::uint32_t v, std::uint32_t w) {
    neighbours(v, ring_);
    neighbours(w, other_);
    shared_.clear();
    std::set_intersection(ring_.begin(), ring_.end(), other_.begin(), other_.end(),
                          std::back_inserter(shared_));
    if (shared_.size() != 2 || ring_.size() < 4 || other_.size() + ring_.size() > 30) return 0;
    double worst = 1;
    const std::uint32_t first = begin_[v];
    for (std::uint32_t i = first; i < begin_[v + 1]; ++i) {
      const auto [a, b] = beyond(mesh_.triangles[around_[i]], v);
      if (a == w || b == w) continue;
      const Point3 p = mesh_.vertices[w], q = mesh_.vertices[a], r = mesh_.vertices[b];
      const double area = dot(normal_[static_cast<std::size_t>(group_[i - first])], cross(q - p, r - p));
      const double longest = std::max({dot(q - p, q - p), dot(r - p, r - p), dot(r - q, r - q)});
      if (!(area > 1e-3 * longest)) return 0;
      worst = std::min(worst, area / longest);
    }
    return worst;
  }

  bool take(std::uint32_t v) {
    if (!planes(v)) return false;
    candidates(v);
    double best = 0;
    std::uint32_t into = 0;
    for (const std::uint32_t w : candidates_) {
      if (locked_[w] != 0) continue;
      const double s = shape(v, w);
      if (s > best) {
        best = s;
        into = w;
      }
    }
    if (best == 0) return false;
    for (std::uint32_t i = begin_[v]; i < begin_[v + 1]; ++i) {
      auto& t = mesh_.triangles[around_[i]];
      for (const std::uint32_t x : t) locked_[x] = 1;
      if (std::find(t.begin(), t.end(), into) != t.end())
        gone_[around_[i]] = 1;
      else
        std::replace(t.begin(), t.end(), v, into);
    }
    return true;
  }

  SolidMesh& mesh_;
  std::vector<std::uint32_t> begin_, around_, candidates_, ring_, other_, shared_;
  std::vector<char> locked_, gone_;
  std::vector<int> group_;
  std::array<Point3, 2> normal_;
};

}  // namespace

void flatten(SolidMesh& mesh) {
  Flattener flattener(mesh);
  for (int i = 0; i < 40; ++i)
    if (flattener.pass() * 200 < mesh.triangles.size()) break;
  flattener.drop_unused();
}

}  // namespace ovolo
