// Solids against closed forms (derived) and Pappus.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "sim/bit/forms.hpp"
#include "sim/carve/carve.hpp"
#include "sim/error.hpp"
#include "sim/parallel.hpp"
#include "sim/solid/cell_loops.hpp"
#include "sim/solid/mesher.hpp"
#include "sim/stock/voxel_stock.hpp"
#include "tests/support/folded_jobs.hpp"

using namespace ovolo;
using namespace ovolo::test;

namespace {

constexpr double kPi = std::numbers::pi;

SolidMesh solid_of(const Job& job, SolidOf what, double tolerance = 0.04) {
  const Plan plan = make_plan(job);
  const MoveIndex index(plan, job);
  MeshOptions options;
  options.tolerance = tolerance;
  return make_mesh(FinishedSheet(job, plan, index, what), options);
}

Job small_board(double thickness) {
  Job job = board(thickness);
  job.stock.width = 60;
  job.stock.height = 50;
  job.contours[0].contour = Contour({Segment::line({0, 20}, {60, 20})}, false);
  return job;
}

double longest_side(const SolidMesh& m) {
  double most = 0;
  for (const auto& t : m.triangles)
    for (std::size_t i = 0; i < 3; ++i)
      most = std::max(most, length(m.vertices[t[i]] - m.vertices[t[(i + 1) % 3]]));
  return most;
}

}  // namespace

TEST_CASE("an uncut sheet is a box with sharp corners and few triangles", "[solid]") {
  const SolidMesh mesh = solid_of(small_board(18), SolidOf::sheet, 0.08);
  CHECK(mesh.open_edges() == 0);
  CHECK(mesh.volume() == Approx(60 * 50 * 18).epsilon(1e-9));
  CHECK(mesh.triangles.size() < 2000);
  CHECK(longest_side(mesh) > 5);
}

TEST_CASE("a bullnosed shelf holds its half round", "[solid]") {
  Job job = small_board(18);
  job.bits.push_back(bit_of("bullnose", bullnose(9, 12, 1, 30)));
  job.operations.push_back(pass_along(0, 19, 6));
  // Cut through along the line: the part is what lies above it.
  job.operations.push_back(pass_along(0, 19, 6));
  job.operations[1].kind = OperationKind::cut_out;
  const SolidMesh part = solid_of(job, SolidOf::part);
  CHECK(part.open_edges() == 0);
  // The section: a half disc of radius 9 whose foremost point is on the line, and the board behind it.
  CHECK(part.volume() == Approx(60 * (kPi * 81 / 2 + 18 * (30 - 9))).epsilon(2e-4));
}

TEST_CASE("a dovetail slot is cut out of the sheet", "[solid]") {
  Job job = small_board(18);
  const double slope = std::tan(14 * kPi / 180);
  job.bits.push_back(bit_of("dovetail", dovetail(14 * kPi / 180, 12.7, 9, 20)));
  job.operations.push_back(pass_along(0, 8.5, 0));
  const SolidMesh mesh = solid_of(job, SolidOf::part);
  CHECK(mesh.open_edges() == 0);
  const double slot = 8.5 * (2 * 6.35 - 8.5 * slope);
  CHECK(mesh.volume() == Approx(60 * (50 * 18 - slot)).epsilon(1e-5));
}

namespace {

Profile ball(double radius) {
  return Profile(
      {Segment::arc({0, radius}, radius, -kPi / 2, kPi / 2), Segment::line({radius, radius}, {radius, 40})});
}

// A sheet with one groove round a circle.
struct Ring {
  Job job = board(18);
  Plan plan;
  Ring(const Profile& profile, double depth, double radius) {
    job.stock.width = job.stock.height = 70;
    job.bits.push_back(bit_of("bit", profile));
    job.operations.push_back(pass_along(0, depth, 0));
    Move move;
    move.path = Segment::arc({35.1, 34.8}, radius, 0, 2 * kPi);
    move.z0 = move.z1 = -depth;
    plan.moves.push_back(move);
  }
  double removed(double tolerance) const {
    const MoveIndex index(plan, job);
    MeshOptions options;
    options.tolerance = tolerance;
    const SolidMesh mesh = make_mesh(FinishedSheet(job, plan, index, SolidOf::sheet), options);
    CHECK(mesh.open_edges() == 0);
    return 70 * 70 * 18 - mesh.volume();
  }
};

}  // namespace

// Pappus: a section turned about an axis sweeps its area times the way of its centroid.
TEST_CASE("grooves round a circle hold what Pappus says", "[solid]") {
  CHECK(Ring(ball(4), 7, 20).removed(0.03) == Approx(2 * kPi * 20 * (kPi * 8 + 3 * 8)).epsilon(1e-3));
  const double slope = std::tan(0.25);
  CHECK(Ring(dovetail(0.25, 12, 9, 20), 8, 20).removed(0.03) ==
        Approx(2 * kPi * 20 * 8 * (12 - 8 * slope)).epsilon(1e-3));
}

TEST_CASE("voxels hold what Pappus says, layer by layer, on any number of threads", "[solid][voxels]") {
  Ring ring(dovetail(0.25, 12, 9, 20), 8, 20);
  ring.job.stock.layers = {{"cap", 3, {}}, {"core", 15, {}}};
  const MoveIndex index(ring.plan, ring.job);
  const FinishedSheet sheet(ring.job, ring.plan, index, SolidOf::sheet);
  VoxelOptions options;
  const auto carved = [&](int threads) {
    const ThreadLimit limit(threads);
    return VoxelStock(sheet, ring.job.stock, options);
  };
  const VoxelStock one = carved(1), four = carved(4);
  const double slope = std::tan(0.25);
  const auto width = [&](double depth) { return 12 - 2 * slope * (8 - depth); };
  CHECK(one.volume() == Approx(70 * 70 * 18 - 2 * kPi * 20 * 8 * (width(0) + width(8)) / 2).epsilon(1e-3));
  CHECK(one.volume_by_layer()[0] ==
        Approx(70 * 70 * 3 - 2 * kPi * 20 * 3 * (width(0) + width(3)) / 2).epsilon(1e-3));
  CHECK(one.volume_by_layer() == four.volume_by_layer());
  CHECK(one.active_voxels() == four.active_voxels());
  std::mt19937 random(3);
  std::uniform_real_distribution<double> x(0, 70), z(-18, 0);
  for (int i = 0; i < 2000; ++i) {
    const Point3 p{x(random), x(random), z(random)};
    CHECK(one.value(p) == four.value(p));
    const double v = sheet.value(p);
    if (std::abs(v) < 0.5)
      CHECK(one.value(p) == Approx(v).margin(options.voxel));  // the surface within a voxel
  }
  options.memory_limit = 1000000;
  CHECK_THROWS_AS(VoxelStock(sheet, ring.job.stock, options), MemoryError);
}

TEST_CASE("solids do not depend on threads, and say when they do not fit", "[solid]") {
  const Ring ring(dovetail(0.25, 12, 9, 20), 8, 20);
  const MoveIndex index(ring.plan, ring.job);
  const FinishedSheet sheet(ring.job, ring.plan, index, SolidOf::sheet);
  MeshOptions options;
  options.tolerance = 0.06;
  const auto made = [&](int threads) {
    const ThreadLimit limit(threads);
    return make_mesh(sheet, options);
  };
  const SolidMesh one = made(1), four = made(4);
  CHECK(one.vertices == four.vertices);
  CHECK(one.triangles == four.triangles);
  options.memory_limit = 1000000;
  try {
    make_mesh(sheet, options);
    FAIL("it fits");
  } catch (const MemoryError& e) {
    CHECK(std::string(e.what()).find("--solid-tolerance") != std::string::npos);
  }
}

TEST_CASE("the mesh lies within its tolerance of the surface", "[solid]") {
  const Ring ring(ball(4), 7, 20);
  const MoveIndex index(ring.plan, ring.job);
  const FinishedSheet sheet(ring.job, ring.plan, index, SolidOf::sheet);
  MeshOptions options;
  options.tolerance = 0.02;
  const SolidMesh mesh = make_mesh(sheet, options);
  double most = 0;
  for (const auto& t : mesh.triangles) {
    const Point3 a = mesh.vertices[t[0]], b = mesh.vertices[t[1]], c = mesh.vertices[t[2]];
    for (const Point3& p : {(1.0 / 3) * (a + b + c), 0.5 * (a + b), 0.5 * (b + c), a})
      most = std::max(most, std::abs(sheet.value(p)));
  }
  CHECK(most < 0.02);
}

TEST_CASE("heightfield and solid agree on forms without undercut", "[solid]") {
  std::mt19937 random(11);
  std::uniform_real_distribution<double> unit(0, 1);
  for (int i = 0; i < 3; ++i) {
    Job job = board(12);
    job.stock.width = 60;
    job.stock.height = 50;
    job.bits.push_back(bit_of("ball", ball(2 + 2 * unit(random))));
    job.operations.push_back(pass_along(0, 5, 0));
    Plan plan;
    for (int k = 0; k < 5; ++k) {
      Move m;
      m.path = Segment::bulge({60 * unit(random), 50 * unit(random)}, {60 * unit(random), 50 * unit(random)},
                              unit(random) - 0.5);
      m.z0 = -6 * unit(random) - 1;
      m.z1 = k < 4 ? m.z0 : -6 * unit(random) - 1;
      plan.moves.push_back(m);
    }
    const MoveIndex index(plan, job);
    CarveOptions carving;
    carving.cell = 0.2;
    const Heightfield field = carve(job, plan, index, carving);
    const FinishedSheet sheet(job, plan, index, SolidOf::sheet);
    MeshOptions options;
    options.tolerance = 0.04;
    const SolidMesh mesh = make_mesh(sheet, options);
    INFO("job " << i);
    CHECK(mesh.open_edges() == 0);
    const double whole = 60 * 50 * 12;
    CHECK(mesh.volume() == Approx(whole - removed_volume(field, job.stock).total).epsilon(1e-3));
    for (int k = 0; k < 500; ++k) {  // the surface within a cell
      const auto a = static_cast<std::int64_t>(299 * unit(random)),
                 b = static_cast<std::int64_t>(249 * unit(random));
      const Vec2 p = field.cell_centre(a, b);
      CHECK(std::abs(sheet.value({p.x, p.y, static_cast<double>(field.at(a, b))})) < 1e-3);
    }
  }
}

TEST_CASE("splitting at heights keeps a mesh closed and its volume", "[solid]") {
  SolidMesh mesh = solid_of(small_board(18), SolidOf::sheet, 0.1);
  const double volume = mesh.volume();
  split_at_heights(mesh, {-3, -18 + 0.7});
  CHECK(mesh.open_edges() == 0);
  CHECK(mesh.volume() == Approx(volume).epsilon(1e-12));
  for (const auto& t : mesh.triangles) {
    double lo = 0, hi = -100;
    for (const std::uint32_t v : t) {
      lo = std::min(lo, mesh.vertices[v].z);
      hi = std::max(hi, mesh.vertices[v].z);
    }
    for (const double z : {-3.0, -17.3}) CHECK_FALSE((lo < z - 1e-9 && hi > z + 1e-9));
  }
}

TEST_CASE("lines of the surface on a cell's faces join in pairs", "[solid]") {
  for (unsigned inside = 0; inside < 256; ++inside)
    for (const bool middle : {false, true})
      for (int face = 0; face < 6; ++face)
        for (const int e : edges_of_face(face)) {
          const int other = partner(inside, face, middle, e);
          if (other < 0) continue;
          CHECK(other != e);
          CHECK(partner(inside, face, middle, other) == e);
        }
}
