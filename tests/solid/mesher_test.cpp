// Solids against closed forms (derived) and Pappus.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "sim/bit/forms.hpp"
#include "sim/parallel.hpp"
#include "sim/solid/mesher.hpp"
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
