// Which pieces of a sheet that is cut through are the part: closed forms (derived) against mesh, voxels and
// heightfield.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "sim/carve/carve.hpp"
#include "sim/parallel.hpp"
#include "sim/solid/field_part.hpp"
#include "sim/solid/mesher.hpp"
#include "sim/solid/pieces.hpp"
#include "sim/stock/tile_pieces.hpp"
#include "sim/stock/voxel_stock.hpp"
#include "tests/support/folded_jobs.hpp"

using namespace ovolo;
using namespace ovolo::test;

namespace {

constexpr double kPi = std::numbers::pi, kThick = 6;

// A 40 by 30 mm part in a board, and a 4 mm straight bit that goes right through wherever the test says.
struct CutThrough {
  Job job = board(kThick);
  Plan plan;

  explicit CutThrough(std::vector<Vec2> at = {{0, 0}}) {
    job.stock.width = 100;
    job.stock.height = 40;
    job.bits.push_back(
        bit_of("straight", Profile({Segment::line({0, 0}, {2, 0}), Segment::line({2, 0}, {2, 30})})));
    job.contours[0].contour = Contour::rectangle({25, 20}, {40, 30}, 0);
    job.contours[0].at = std::move(at);
    Operation op = pass_along(0, kThick + 0.5, 0);
    op.kind = OperationKind::cut_out;
    op.keep = Keep::inside;
    job.operations.push_back(op);
  }
  void cut(Segment path) {
    Move m;
    m.path = path;
    m.z0 = m.z1 = -kThick - 0.5;
    plan.moves.push_back(m);
  }
  void check(double volume) const {
    const MoveIndex index(plan, job);
    const FinishedSheet part(job, plan, index, SolidOf::part), sheet(job, plan, index, SolidOf::sheet);
    MeshOptions meshing;
    meshing.tolerance = 0.04;
    const SolidMesh mesh = make_mesh(part, meshing);
    CHECK(mesh.open_edges() == 0);
    CHECK(mesh.volume() == Approx(volume).epsilon(1e-3));

    VoxelOptions voxels;
    voxels.voxel = 0.125;  // faces lie on voxels, some of them at the ends of tiles
    const VoxelStock levels(part, job.stock, voxels);
    CHECK(levels.volume() == Approx(volume).epsilon(1e-3));
    voxels.volumes_alone = true;
    CHECK(VoxelStock(sheet, job.stock, voxels).part_volume() == Approx(volume).epsilon(1e-3));

    CarveOptions carving;
    carving.cell = 0.1;
    const Heightfield field = carve(job, plan, index, carving);
    const double one = part_volume(field, job.stock, PartWall(job));
    CHECK(one == Approx(volume).epsilon(1e-3));
    const ThreadLimit limit(3);
    CHECK(part_volume(field, job.stock, PartWall(job)) == one);
  }
};

Segment ring(double sweep) { return Segment::arc({25, 20}, 8, 0.3, sweep); }

}  // namespace

TEST_CASE("what a ring cuts loose within the part is not the part", "[solid][pieces]") {
  CutThrough job;
  job.cut(ring(2 * kPi));
  job.check(kThick * (40 * 30 - kPi * 100));
}

TEST_CASE("what a bridge still holds is the part", "[solid][pieces]") {
  CutThrough job;
  job.cut(ring(2 * kPi - 1));
  job.check(kThick * (40 * 30 - ((2 * kPi - 1) / 2 * (100 - 36) + kPi * 4)));
}

TEST_CASE("a part cut in two is both pieces, and every copy counts", "[solid][pieces]") {
  CutThrough job({{0, 0}, {48, 0}});
  job.cut(Segment::line({25, -5}, {25, 45}));
  job.job.contours[0].contour = Contour::rectangle({25, 20}, {40, 30}, 5);
  const double one = 40 * 30 - (4 - kPi) * 25;
  job.check(kThick * (2 * one - 4 * 30));
}

TEST_CASE("what is cut off beyond an open line is not the part", "[solid][pieces]") {
  CutThrough job;
  job.job.contours[0].contour = Contour({Segment::line({0, 20}, {100, 20})}, false);
  job.job.operations[0].keep = Keep::left;
  job.cut(Segment::line({-5, 18}, {105, 18}));
  job.cut(Segment::line({-5, 34}, {105, 34}));
  job.check(kThick * 100 * 12);
}

TEST_CASE("voxels of a tile hang together through their faces", "[solid][pieces]") {
  TilePieces::Material in;
  for (int n = 0; n < TilePieces::kVoxels; ++n) in[static_cast<std::size_t>(n)] = (n >> 6) < 3;
  in[static_cast<std::size_t>(5 << 6 | 4 << 3 | 7)] = true;
  in[static_cast<std::size_t>(6 << 6 | 5 << 3 | 7)] = true;  // touches it along an edge alone
  const TilePieces pieces(in);
  REQUIRE(pieces.faces.size() == 3);
  CHECK(pieces.faces[0][0] == ~std::uint64_t{0});
  CHECK(pieces.faces[0][1] == 0);
  CHECK(pieces.faces[1][5] == std::uint64_t{1} << (8 * 5 + 4));
  CHECK(pieces.of[static_cast<std::size_t>(4 << 6)] == -1);
  CHECK(pieces.beside(3 << 6) == 0);
  CHECK(pieces.beside(4 << 6 | 4 << 3 | 7) == 1);
}

TEST_CASE("a hollow goes with the piece around it", "[solid][pieces]") {
  // Boxes of 10, 4 (turned inside out, within the first) and 3 mm beside them.
  SolidMesh mesh;
  const auto box = [&](Point3 lo, double side, bool hollow) {
    const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
    for (int c = 0; c < 8; ++c)
      mesh.vertices.push_back(lo + side * Point3{static_cast<double>(c & 1), static_cast<double>(c >> 1 & 1),
                                                 static_cast<double>(c >> 2)});
    for (const std::array<std::uint32_t, 4>& q : {std::array<std::uint32_t, 4>{0, 2, 3, 1},
                                                  {4, 5, 7, 6},
                                                  {0, 1, 5, 4},
                                                  {2, 6, 7, 3},
                                                  {0, 4, 6, 2},
                                                  {1, 3, 7, 5}})
      for (const std::array<std::size_t, 3>& t : {std::array<std::size_t, 3>{0, 1, 2}, {0, 2, 3}})
        mesh.triangles.push_back(
            hollow ? SolidMesh::Triangle{first + q[t[0]], first + q[t[2]], first + q[t[1]]}
                   : SolidMesh::Triangle{first + q[t[0]], first + q[t[1]], first + q[t[2]]});
  };
  box({0, 0, 0}, 10, false);
  box({3, 3, 3}, 4, true);
  box({20, 0, 0}, 3, false);
  CHECK(mesh.volume() == Approx(1000 - 64 + 27));
  SolidMesh first = mesh, second = mesh, none = mesh;
  CHECK(keep_pieces(first, {{1, 1, 1}}) == 1);
  CHECK(first.volume() == Approx(1000 - 64));
  CHECK(keep_pieces(second, {{21, 1, 1}}) == 1);
  CHECK(second.volume() == Approx(27));
  CHECK(keep_pieces(none, {{-5, 1, 1}}) == 2);
  CHECK(none.triangles == mesh.triangles);
}
