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
#include "tests/support/roundover_bit.hpp"

using namespace ovolo;
using namespace ovolo::test;
using ovolo::tests::roundover_bit;

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

namespace {

// A bit without undercut: one of the families in turn, its sizes by chance.
Profile any_form(int which, std::mt19937& random) {
  std::uniform_real_distribution<double> unit(0, 1);
  const double size = 2 + 3 * unit(random);
  switch (which % 6) {
    case 0:
      return ovolo::ball(2 * size, 30);
    case 1:
      return straight(2 * size, 30);
    case 2:
      return chamfer(0.4 + 0.5 * unit(random), 0.5 + unit(random), 2 * size + 1.5, 30);
    case 3:
      return cove(size, 0.5 + unit(random), 30);
    case 4:
      return ovolo_form(size, 0.5 + unit(random), 0.4 * unit(random), 0.4 * unit(random), 30);
    default:
      return point_roundover(roundover_bit("round", size + 1, size, 30).roundover.value(), 30);
  }
}

// Lines and arcs here and there, level or climbing, and an area now and then.
struct AnyJob {
  Job job = board(12);
  Plan plan;
  explicit AnyJob(int which) {
    std::mt19937 random(static_cast<unsigned>(100 + which));
    std::uniform_real_distribution<double> unit(0, 1);
    job.stock.width = 50;
    job.stock.height = 40;
    job.bits.push_back(bit_of("any", any_form(which, random)));
    job.operations.push_back(pass_along(0, 5, 0));
    for (int k = 0; k < 5; ++k) {
      Move m;
      m.path = Segment::bulge({50 * unit(random), 40 * unit(random)}, {50 * unit(random), 40 * unit(random)},
                              unit(random) - 0.5);
      m.z0 = -5 * unit(random) - 1;
      m.z1 = k < 3 ? m.z0 : -5 * unit(random) - 1;
      plan.moves.push_back(m);
    }
    if (which % 3 != 0) return;
    plan.regions.push_back({{Contour::rectangle({20, 20}, {12 + 5 * unit(random), 9}, 2)}});
    plan.moves[0].region = 0;
  }
};

}  // namespace

TEST_CASE("heightfield, mesh and voxels agree on forms without undercut", "[solid][voxels]") {
  for (int which = 0; which < 12; ++which) {
    const AnyJob any(which);
    const Job& job = any.job;
    const MoveIndex index(any.plan, job);
    CarveOptions carving;
    carving.cell = 0.15;
    const Heightfield field = carve(job, any.plan, index, carving);
    const FinishedSheet sheet(job, any.plan, index, SolidOf::sheet);
    MeshOptions meshing;
    meshing.tolerance = 0.03;
    const SolidMesh mesh = make_mesh(sheet, meshing);
    VoxelOptions voxels;
    voxels.voxel = 0.3;
    const VoxelStock stock(sheet, job.stock, voxels);
    INFO("job " << which);
    CHECK(mesh.open_edges() == 0);
    const double volume = 50 * 40 * 12 - removed_volume(field, job.stock).total;
    CHECK(mesh.volume() == Approx(volume).epsilon(1e-3));
    CHECK(stock.volume() == Approx(volume).epsilon(1e-3));
    std::mt19937 random(5);
    std::uniform_int_distribution<int> column(0, 332), row(0, 265);
    for (int k = 0; k < 500; ++k) {
      const std::int64_t i = column(random), j = row(random);
      const Vec2 p = field.cell_centre(i, j);
      const Point3 at{p.x, p.y, static_cast<double>(field.at(i, j))};
      CHECK(std::abs(sheet.value(at)) < 1e-3);
      CHECK(std::abs(stock.value(at)) < voxels.voxel);
    }
    // What the mesh has above a cell's ground lies between the field's heights around it, as far as nine
    // cells tell them where the form is steep.
    for (const Point3& v : mesh.vertices) {
      const auto i = static_cast<std::int64_t>(v.x / carving.cell),
                 j = static_cast<std::int64_t>(v.y / carving.cell);
      if (i < 1 || j < 1 || i > 331 || j > 264 || v.z < -11.99) continue;
      float lo = 0, hi = -12;
      for (std::int64_t a = i - 1; a <= i + 1; ++a)
        for (std::int64_t b = j - 1; b <= j + 1; ++b) {
          lo = std::min(lo, field.at(a, b));
          hi = std::max(hi, field.at(a, b));
        }
      const double slack = 0.05 + static_cast<double>(hi - lo);
      if (!(v.z > static_cast<double>(lo) - slack && v.z < static_cast<double>(hi) + slack)) {
        CAPTURE(v.x, v.y, v.z, lo, hi);
        FAIL_CHECK("a vertex lies off the field");
      }
    }
  }
}

TEST_CASE("a mesh tells when it loses a narrow step, and keeps it when it is finer", "[solid]") {
  Job job = small_board(18);
  job.bits.push_back(bit_of("straight", straight(9, 30)));
  // Two grooves, one beside and below the other: steps 0.08 mm high and 0.06 mm wide.
  job.operations.push_back(pass_along(0, 5, 0));
  Plan plan;
  for (const auto& [y, depth] : {std::pair{20.0, 4.0}, std::pair{20.06, 4.08}}) {
    Move m;
    m.path = Segment::line({-10, y}, {70, y});
    m.z0 = m.z1 = -depth;
    plan.moves.push_back(m);
  }
  const MoveIndex index(plan, job);
  const FinishedSheet sheet(job, plan, index, SolidOf::sheet);
  MeshOptions options;
  MeshMiss coarse, fine;
  options.tolerance = 0.02;
  make_mesh(sheet, options, &coarse);
  options.tolerance = 0.005;
  make_mesh(sheet, options, &fine);
  CHECK(coarse.distance > 0.02);
  CHECK(coarse.distance < 0.12);
  CHECK(fine.distance < 0.005);
  // Asked for 0.02 mm it goes on to finer cells until the step is kept.
  MeshMiss within;
  options.tolerance = 0.02;
  CHECK(make_mesh_within(sheet, options, within).open_edges() == 0);
  CHECK(within.distance < 0.02);
}

TEST_CASE("meshes lie within their tolerance of the surface, or tell how far off they are", "[solid]") {
  // Where steps are narrow (the ends of ramps, what a circle's passes leave between them) they may be lost.
  const auto check = [](const FinishedSheet& sheet, double tolerance, bool narrow_steps) {
    MeshOptions options;
    options.tolerance = tolerance;
    MeshMiss miss;
    const SolidMesh mesh = make_mesh(sheet, options, &miss);
    CHECK(mesh.open_edges() == 0);
    double most = 0;
    for (const auto& t : mesh.triangles) {
      const Point3 a = mesh.vertices[t[0]], b = mesh.vertices[t[1]], c = mesh.vertices[t[2]];
      for (const Point3& p : {(1.0 / 3) * (a + b + c), 0.5 * (a + b), a})
        most = std::max(most, std::abs(sheet.value(p)));
    }
    if (!narrow_steps) CHECK(most < tolerance);
    CHECK((most < 2 * tolerance || miss.distance > tolerance));
  };
  SECTION("a bullnose") {
    Job job = small_board(18);
    job.bits.push_back(bit_of("bullnose", bullnose(9, 12, 1, 30)));
    job.operations.push_back(pass_along(0, 19, 6));
    const Plan plan = make_plan(job);
    const MoveIndex index(plan, job);
    check(FinishedSheet(job, plan, index, SolidOf::sheet), 0.03, false);
  }
  SECTION("a rounded rim with ramps, and its part") {
    Job job = small_board(12);
    job.bits.push_back(roundover_bit("round", 5, 4.4, 20));
    job.contours[0].contour = Contour::rectangle({30, 25}, {40, 30}, 8);
    Operation op = pass_along(0, 4.3, 0.35);
    op.keep = Keep::inside;
    op.passes = {2.5, 4.3};
    op.ramp = 15;
    job.operations.push_back(op);
    const Plan plan = make_plan(job);
    const MoveIndex index(plan, job);
    check(FinishedSheet(job, plan, index, SolidOf::sheet), 0.03, true);
    check(FinishedSheet(job, plan, index, SolidOf::part), 0.03, true);
  }
  SECTION("a dovetail round a circle") {
    const Ring ring(dovetail(0.25, 12, 9, 20), 8, 20);
    const MoveIndex index(ring.plan, ring.job);
    check(FinishedSheet(ring.job, ring.plan, index, SolidOf::sheet), 0.03, true);
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
