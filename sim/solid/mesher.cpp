#include "sim/solid/mesher.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <memory>
#include <unordered_map>

#include "sim/carve/memory.hpp"
#include "sim/error.hpp"
#include "sim/parallel.hpp"
#include "sim/solid/cell_loops.hpp"
#include "sim/solid/least_squares_point.hpp"
#include "sim/solid/pieces.hpp"
#include "sim/text.hpp"

namespace ovolo {
namespace {

constexpr int kBlock = 16, kGroup = 4, kGroups = kBlock / kGroup;
constexpr std::size_t kBlockCells = 4096;

using Index3 = std::array<std::int64_t, 3>;

struct Cell {
  std::uint32_t first = 0;  // its first vertex
  std::uint8_t inside = 0, middles = 0;
};

/// 16 x 16 x 16 cells, those that the surface crosses alone being held.
struct Block {
  std::array<std::uint64_t, kBlockCells / 64> held{};
  std::array<std::uint16_t, kBlockCells / 64> before{};
  std::vector<Cell> cells;
  std::vector<Point3> vertices;
  std::vector<SolidMesh::Triangle> triangles;
  MeshMiss miss;
};

std::size_t place_in_block(const Index3& c) {
  return static_cast<std::size_t>((c[0] & 15) | (c[1] & 15) << 4 | (c[2] & 15) << 8);
}

class Mesher {
 public:
  Mesher(const FinishedSheet& sheet, const MeshOptions& options)
      : sheet_(sheet), options_(options), h_(mesh_cell(options.tolerance)) {
    // Faces of the sheet should not fall on planes of the grid.
    const Box2& box = sheet.plan_box();
    origin_ = {box.lo.x - 1.37 * h_, box.lo.y - 1.41 * h_, sheet.bottom() - 1.43 * h_};
    const Point3 hi{box.hi.x, box.hi.y, 0};
    const std::array<double, 3> size{hi.x - origin_.x, hi.y - origin_.y, hi.z - origin_.z};
    double all = 1;
    for (std::size_t a = 0; a < 3; ++a) {
      if (!(size[a] > 0)) throw JobError("nothing is left of the material that the solid is to hold");
      const double n = std::ceil((size[a] / h_ + 1) / kBlock);
      all *= n;
      if (all > 5e7) refuse(all * 500);
      blocks_[a] = static_cast<std::int64_t>(n);
    }
  }

  SolidMesh make() {
    find_blocks();
    report(0.05);
    run(mixed_.size(), 0.05, 0.5, [&](std::size_t i) { fill(mixed_[i]); });
    SolidMesh mesh;
    gather_vertices(mesh);
    run(mixed_.size(), 0.5, 0.6, [&](std::size_t i) { join(mixed_[i], mesh); });
    std::size_t count = 0;
    for (const std::size_t b : mixed_) count += grid_[b]->triangles.size();
    mesh.triangles.reserve(count);
    for (const std::size_t b : mixed_) {
      auto& from = grid_[b]->triangles;
      mesh.triangles.insert(mesh.triangles.end(), from.begin(), from.end());
      if (grid_[b]->miss.distance > miss_.distance) miss_ = grid_[b]->miss;
      grid_[b].reset();
    }
    if (mesh.triangles.empty()) throw JobError("nothing is left of the material that the solid is to hold");
    return mesh;
  }

  const MeshMiss& miss() const { return miss_; }

 private:
  template <class Body>
  void run(std::size_t n, double from, double to, const Body& body) {
    constexpr std::size_t kBatch = 512;
    for (std::size_t first = 0; first < n; first += kBatch) {
      parallel_for(std::min(kBatch, n - first), [&](std::size_t i) { body(first + i); });
      report(from + (to - from) * static_cast<double>(first) / static_cast<double>(n));
    }
  }
  void report(double done) const {
    if (options_.progress) options_.progress->report("building the solid", done);
  }

  [[noreturn]] void refuse(double bytes) const {
    const double free = static_cast<double>(limit());
    const double fits = options_.tolerance * std::sqrt(bytes / (0.8 * free)) * 1.05;
    throw MemoryError(
        fmt::format("the solid needs about {:.1f} GB at a tolerance of {:.4g} mm and {:.1f} GB are "
                    "free; set --solid-tolerance to {:.2g} or more, or choose a --solid-region",
                    bytes / 1e9, options_.tolerance, free / 1e9, fits));
  }
  std::size_t limit() const { return options_.memory_limit > 0 ? options_.memory_limit : free_memory(); }

  Index3 corner_of(std::size_t block) const {
    const auto b = static_cast<std::int64_t>(block);
    return {kBlock * (b % blocks_[0]), kBlock * (b / blocks_[0] % blocks_[1]),
            kBlock * (b / blocks_[0] / blocks_[1])};
  }
  std::size_t block_of(const Index3& c) const {
    return static_cast<std::size_t>(c[0] / kBlock +
                                    blocks_[0] * (c[1] / kBlock + blocks_[1] * (c[2] / kBlock)));
  }
  Point3 at(const Index3& c) const {
    return origin_ +
           h_ * Point3{static_cast<double>(c[0]), static_cast<double>(c[1]), static_cast<double>(c[2])};
  }
  Point3 middle(const Index3& c, int cells) const { return at(c) + h_ * cells / 2.0 * Point3{1, 1, 1}; }
  // Of a ball around a cube of so many cells.
  double radius(int cells) const { return h_ * cells * 0.8661 + 1e-9; }

  void find_blocks() {
    grid_.resize(static_cast<std::size_t>(blocks_[0] * blocks_[1] * blocks_[2]));
    std::vector<char> mixed(grid_.size());
    parallel_for(
        grid_.size(),
        [&](std::size_t b) {
          mixed[b] = sheet_.near(middle(corner_of(b), kBlock), radius(kBlock)).state ==
                     FinishedSheet::Near::State::mixed;
        },
        64);
    for (std::size_t b = 0; b < mixed.size(); ++b)
      if (mixed[b] != 0) mixed_.push_back(b);
    // About 1.3 layers of cells each, with vertices, triangles and what thinning out needs.
    const double bytes = static_cast<double>(mixed_.size()) * 1.3 * kBlock * kBlock * 260;
    if (bytes > 0.8 * static_cast<double>(limit())) refuse(bytes);
    for (const std::size_t b : mixed_) grid_[b] = std::make_unique<Block>();
  }

  struct Crossing {
    bool known = false;
    FinishedSheet::Owner owner = 0;
    PlaneThrough plane;
  };

  Crossing crossing(const FinishedSheet::Near& near, Point3 a, Point3 b) const {
    Crossing out;
    out.known = true;
    FinishedSheet::Owner owner = 0;
    double fa = sheet_.value(near, a, &owner), fb = sheet_.value(near, b, &owner);
    double lo = 0, hi = 1, t = 0.5;
    int side = 0;
    for (int i = 0; i < 60 && (hi - lo) * h_ > 1e-10; ++i) {  // regula falsi, Illinois' way
      t = std::clamp((lo * fb - hi * fa) / (fb - fa), lo, hi);
      if (i > 12) t = (lo + hi) / 2;
      const double f = sheet_.value(near, a + t * (b - a), &owner);
      if (std::abs(f) < 1e-11) break;
      if ((f < 0) == (fa < 0)) {
        lo = t;
        fa = f;
        if (side == -1) fb /= 2;
        side = -1;
      } else {
        hi = t;
        fb = f;
        if (side == 1) fa /= 2;
        side = 1;
      }
    }
    const Point3 p = a + t * (b - a);
    sheet_.value(near, p, &owner);
    out.owner = owner;
    out.plane = {p, sheet_.normal(owner, p)};
    return out;
  }

  void fill(std::size_t which) {
    Block& block = *grid_[which];
    const Index3 corner = corner_of(which);
    const auto around = sheet_.near(middle(corner, kBlock), radius(kBlock));
    FinishedSheet::Near near;
    std::vector<std::pair<std::uint32_t, Cell>> found;
    std::vector<Point3> vertices;
    for (int g = 0; g < kGroups * kGroups * kGroups; ++g) {
      const Index3 start{corner[0] + kGroup * (g % kGroups), corner[1] + kGroup * (g / kGroups % kGroups),
                         corner[2] + kGroup * (g / kGroups / kGroups)};
      sheet_.near(around, middle(start, kGroup), radius(kGroup), near);
      if (near.state != FinishedSheet::Near::State::mixed) continue;
      fill_group(near, start, found, vertices, block.miss);
    }
    std::vector<std::uint32_t> order(found.size());
    for (std::uint32_t i = 0; i < order.size(); ++i) order[i] = i;
    std::sort(order.begin(), order.end(), [&](auto a, auto b) { return found[a].first < found[b].first; });
    for (const std::uint32_t i : order) {
      block.held[found[i].first / 64] |= std::uint64_t{1} << (found[i].first % 64);
      block.cells.push_back(found[i].second);
    }
    std::uint16_t sum = 0;
    for (std::size_t w = 0; w < block.held.size(); ++w) {
      block.before[w] = sum;
      sum = static_cast<std::uint16_t>(sum + std::popcount(block.held[w]));
    }
    block.vertices = std::move(vertices);
    block.vertices.shrink_to_fit();
    block.cells.shrink_to_fit();
  }

  void fill_group(const FinishedSheet::Near& near, const Index3& start,
                  std::vector<std::pair<std::uint32_t, Cell>>& found, std::vector<Point3>& vertices,
                  MeshMiss& miss) const {
    constexpr int kSide = kGroup + 1;
    std::array<bool, kSide * kSide * kSide> inside;
    for (int k = 0, n = 0; k < kSide; ++k)
      for (int j = 0; j < kSide; ++j)
        for (int i = 0; i < kSide; ++i, ++n)
          inside[static_cast<std::size_t>(n)] =
              sheet_.value(near, at({start[0] + i, start[1] + j, start[2] + k})) < 0;
    std::array<Crossing, 3 * kSide * kSide * kSide> crossings;
    std::vector<PlaneThrough> planes;
    for (int n = 0; n < kGroup * kGroup * kGroup; ++n) {
      const std::array<int, 3> in{n % kGroup, n / kGroup % kGroup, n / kGroup / kGroup};
      const auto spot = [&](int c) {
        return static_cast<std::size_t>(in[0] + (c & 1) +
                                        kSide * (in[1] + (c >> 1 & 1) + kSide * (in[2] + (c >> 2))));
      };
      Cell cell;
      for (int c = 0; c < 8; ++c)
        if (inside[spot(c)]) cell.inside = static_cast<std::uint8_t>(cell.inside | 1U << c);
      if (cell.inside == 0 || cell.inside == 255) continue;
      const Index3 index{start[0] + in[0], start[1] + in[1], start[2] + in[2]};
      for (int face = 0; face < 6; ++face)
        if (ambiguous(cell.inside, face) && sheet_.value(near, face_middle(index, face)) < 0)
          cell.middles = static_cast<std::uint8_t>(cell.middles | 1U << face);
      cell.first = static_cast<std::uint32_t>(vertices.size());
      const CellLoops& loops = cell_loops(cell.inside, cell.middles);
      for (int loop = 0; loop < loops.loops; ++loop) {
        planes.clear();
        FinishedSheet::Owner owner = 0;
        for (int e = 0; e < 12; ++e) {
          if (loops.loop_of_edge[static_cast<std::size_t>(e)] != loop) continue;
          Crossing& x = crossings[3 * spot(corner_of_edge(e, 0)) + static_cast<std::size_t>(e / 4)];
          if (!x.known)
            x = crossing(near, corner_at(index, corner_of_edge(e, 0)),
                         corner_at(index, corner_of_edge(e, 1)));
          planes.push_back(x.plane);
          owner = x.owner;
        }
        const Point3 p = vertex(near, at(index), planes, owner);
        const double distance = std::abs(sheet_.value(near, p));
        if (distance > miss.distance) miss = {distance, p};
        vertices.push_back(p);
      }
      found.emplace_back(static_cast<std::uint32_t>(place_in_block(index)), cell);
    }
  }

  Point3 corner_at(const Index3& cell, int c) const {
    return at({cell[0] + (c & 1), cell[1] + (c >> 1 & 1), cell[2] + (c >> 2)});
  }
  Point3 face_middle(const Index3& cell, int face) const {
    Point3 p = middle(cell, 1);
    const double d = face % 2 == 0 ? -h_ / 2 : h_ / 2;
    (face / 2 == 0 ? p.x : face / 2 == 1 ? p.y : p.z) += d;
    return p;
  }

  Point3 vertex(const FinishedSheet::Near& near, Point3 corner, const std::vector<PlaneThrough>& planes,
                FinishedSheet::Owner owner) const {
    int rank = 0;
    Point3 p = meeting_point(planes, rank);
    if (rank == 1 && !FinishedSheet::plane(owner)) {
      for (int i = 0; i < 2; ++i) {
        FinishedSheet::Owner here = owner;
        const double f = sheet_.value(near, p, &here);
        if (std::abs(f) < 1e-9) break;
        p = p - f * sheet_.normal(here, p);
      }
    }
    // An edge or a corner may poke out of the cell between its edges: the vertex follows when it lies on the
    // surface. Otherwise it stays within the cell, so that the mesh does not fold over.
    const double margin = 1e-3 * h_;
    const auto held = [&](double v, double lo) { return std::clamp(v, lo + margin, lo + h_ - margin); };
    const Point3 clamped{held(p.x, corner.x), held(p.y, corner.y), held(p.z, corner.z)};
    const double out = length(clamped - p);
    if (out == 0) return p;
    if (rank > 1 && out < 0.6 * h_ &&
        std::abs(sheet_.value(sheet_.near(p, h_), p)) < 0.01 * options_.tolerance)
      return p;
    if (out < 2 * margin) return clamped;
    Point3 mean;
    for (const PlaneThrough& x : planes) mean = mean + (1.0 / static_cast<double>(planes.size())) * x.at;
    mean = {held(mean.x, corner.x), held(mean.y, corner.y), held(mean.z, corner.z)};
    return std::abs(sheet_.value(near, mean)) < std::abs(sheet_.value(near, clamped)) ? mean : clamped;
  }

  const Cell& cell(const Index3& c) const {
    const Block& block = *grid_[block_of(c)];
    const std::size_t place = place_in_block(c), word = place / 64;
    const std::uint64_t below = block.held[word] & ((std::uint64_t{1} << (place % 64)) - 1);
    return block.cells[block.before[word] + static_cast<std::size_t>(std::popcount(below))];
  }

  template <class Visit>
  void each_cell(std::size_t which, const Visit& visit) const {
    const Block& block = *grid_[which];
    const Index3 corner = corner_of(which);
    std::size_t n = 0;
    for (std::size_t word = 0; word < block.held.size(); ++word)
      for (std::uint64_t bits = block.held[word]; bits != 0; bits &= bits - 1) {
        const auto place = static_cast<std::int64_t>(64 * word) + std::countr_zero(bits);
        visit(Index3{corner[0] + (place & 15), corner[1] + (place >> 4 & 15), corner[2] + (place >> 8)},
              block.cells[n++]);
      }
  }

  std::uint64_t line_key(const Index3& c, int axis, int edge) const {
    const auto cells =
        static_cast<std::uint64_t>(c[0] + kBlock * blocks_[0] * (c[1] + kBlock * blocks_[1] * c[2]));
    return (cells * 3 + static_cast<std::uint64_t>(axis)) * 12 + static_cast<std::uint64_t>(edge);
  }

  void gather_vertices(SolidMesh& mesh) {
    std::size_t count = 0;
    for (const std::size_t b : mixed_) count += grid_[b]->vertices.size();
    if (count > 4000000000U) refuse(static_cast<double>(count) * 260);
    mesh.vertices.reserve(count);
    for (const std::size_t b : mixed_) {
      Block& block = *grid_[b];
      const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
      for (Cell& c : block.cells) c.first += first;
      mesh.vertices.insert(mesh.vertices.end(), block.vertices.begin(), block.vertices.end());
      block.vertices = {};
    }
    cell_vertices_ = static_cast<std::uint32_t>(mesh.vertices.size());
    // Two lines of the surface on one face may join the same two vertices: each gets a vertex of its own.
    for (const std::size_t b : mixed_)
      each_cell(b, [&](const Index3& c, const Cell& cell) {
        for (int axis = 0; axis < 3; ++axis) {
          const int face = 2 * axis;
          if (!ambiguous(cell.inside, face)) continue;
          const auto near = sheet_.near(face_middle(c, face), radius(1));
          for (const int e : edges_of_face(face)) {
            const int other = partner(cell.inside, face, (cell.middles >> face & 1) != 0, e);
            if (other < e) continue;
            Point3 p;
            for (const int x : {e, other})
              p = p +
                  0.5 * crossing(near, corner_at(c, corner_of_edge(x, 0)), corner_at(c, corner_of_edge(x, 1)))
                            .plane.at;
            lines_[line_key(c, axis, e)] = static_cast<std::uint32_t>(mesh.vertices.size());
            mesh.vertices.push_back(p);
          }
        }
      });
  }

  void join(std::size_t which, const SolidMesh& mesh) {
    std::vector<SolidMesh::Triangle>& out = grid_[which]->triangles;
    each_cell(which, [&](const Index3& c, const Cell& low) {
      for (int a = 0; a < 3; ++a) {
        const bool first_in = (low.inside & 1) != 0, last_in = (low.inside >> (1 << a) & 1) != 0;
        if (first_in == last_in) continue;
        const auto b = static_cast<std::size_t>((a + 1) % 3), d = static_cast<std::size_t>((a + 2) % 3);
        // Around the edge, counter-clockwise seen from its far end: how far the cells lie back.
        constexpr std::array<std::array<int, 2>, 4> kAround{{{0, 0}, {1, 0}, {1, 1}, {0, 1}}};
        std::array<std::uint32_t, 8> ring{};
        std::size_t n = 0;
        for (std::size_t i = 0; i < 4; ++i) {
          const auto [kb, kd] = kAround[i];
          Index3 at = c;
          at[b] -= kb;
          at[d] -= kd;
          const Cell& here = cell(at);
          const int edge = 4 * a + kb + 2 * kd;
          const CellLoops& loops = cell_loops(here.inside, here.middles);
          ring[n++] =
              here.first + static_cast<std::uint32_t>(loops.loop_of_edge[static_cast<std::size_t>(edge)]);
          // The face toward the next cell, as the lower face of one of the two.
          const int axis = static_cast<int>(i % 2 == 0 ? b : d);
          Index3 owner = at;
          int owner_edge = edge;
          if (i >= 2) {  // the next one's
            const auto [nb, nd] = kAround[(i + 1) % 4];
            owner = c;
            owner[b] -= nb;
            owner[d] -= nd;
            owner_edge = 4 * a + nb + 2 * nd;
          }
          const Cell& upper = i >= 2 ? cell(owner) : here;
          const int face = 2 * axis;
          if (!ambiguous(upper.inside, face)) continue;
          const int other = partner(upper.inside, face, (upper.middles >> face & 1) != 0, owner_edge);
          ring[n++] = lines_.at(line_key(owner, axis, std::min(owner_edge, other)));
        }
        if (!first_in) std::reverse(ring.begin(), ring.begin() + static_cast<std::ptrdiff_t>(n));
        triangulate(mesh, ring, n, out);
      }
    });
    // Vertices lie up to a cell beyond the block.
    const auto near = sheet_.near(middle(corner_of(which), kBlock), radius(kBlock + 3));
    MeshMiss& miss = grid_[which]->miss;
    for (const auto& t : out) {
      const Point3 p = (1.0 / 3) * (mesh.vertices[t[0]] + mesh.vertices[t[1]] + mesh.vertices[t[2]]);
      const double distance = std::abs(sheet_.value(near, p));
      if (distance > miss.distance) miss = {distance, p};
    }
  }

  void triangulate(const SolidMesh& mesh, const std::array<std::uint32_t, 8>& ring, std::size_t n,
                   std::vector<SolidMesh::Triangle>& out) const {
    std::size_t first = 0;
    if (n == 4) {
      const auto v = [&](std::size_t i) { return mesh.vertices[ring[i]]; };
      const Point3 normal = cross(v(1) - v(0), v(2) - v(0));
      const double off = std::abs(dot(normal, v(3) - v(0))), size = length(normal);
      if (off <= 0.05 * options_.tolerance * size) {
        first = length(v(2) - v(0)) <= length(v(3) - v(1)) ? 0 : 1;
      } else {  // the diagonal that lies nearer to the surface
        const auto miss = [&](Point3 p) { return std::abs(sheet_.value(sheet_.near(p, h_), p)); };
        first = miss(0.5 * (v(0) + v(2))) <= miss(0.5 * (v(1) + v(3))) ? 0 : 1;
      }
    }
    // From a line's own vertex, so that no diagonal joins the two cells beside it once more.
    while (n > 4 && ring[first] < cell_vertices_) ++first;
    for (std::size_t i = 1; i + 1 < n; ++i)
      out.push_back({ring[first], ring[(first + i) % n], ring[(first + i + 1) % n]});
  }

  const FinishedSheet& sheet_;
  const MeshOptions& options_;
  double h_;
  Point3 origin_;
  Index3 blocks_{};
  std::vector<std::unique_ptr<Block>> grid_;
  std::vector<std::size_t> mixed_;
  std::uint32_t cell_vertices_ = 0;  // later ones are the lines'
  std::unordered_map<std::uint64_t, std::uint32_t> lines_;
  MeshMiss miss_;
};

}  // namespace

double mesh_cell(double tolerance) { return 12.5 * tolerance; }

SolidMesh make_mesh(const FinishedSheet& sheet, const MeshOptions& options, MeshMiss* miss) {
  Mesher mesher(sheet, options);
  SolidMesh mesh = mesher.make();
  if (miss) *miss = mesher.miss();
  if (sheet.walled()) keep_pieces(mesh, sheet.kept_places());
  flatten(mesh);
  if (options.progress) options.progress->report("building the solid", 1);
  return mesh;
}

SolidMesh make_mesh_within(const FinishedSheet& sheet, MeshOptions options, MeshMiss& miss) {
  const double asked = options.tolerance;
  SolidMesh mesh = make_mesh(sheet, options, &miss);
  for (int again = 0; again < 2 && miss.distance > asked; ++again) {
    options.tolerance /= 2;
    try {
      MeshMiss closer;
      SolidMesh finer = make_mesh(sheet, options, &closer);
      if (closer.distance >= miss.distance) continue;
      mesh = std::move(finer);
      miss = closer;
    } catch (const MemoryError&) {
      break;
    }
  }
  return mesh;
}

}  // namespace ovolo
