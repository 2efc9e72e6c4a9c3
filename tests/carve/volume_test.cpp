#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "sim/bit/forms.hpp"
#include "sim/carve/carve.hpp"
#include "tests/support/slow_twin.hpp"

// Sources: derived (the outside values' closed forms; Pappus, Steiner).
namespace ovolo {
namespace {

using test::arc_move;
using test::line_move;
constexpr double kPi = std::numbers::pi;

RemovedVolume removed(const Job& job, const Plan& plan, double cell) {
  CarveOptions options;
  options.cell = cell;
  return removed_volume(carve(job, plan, MoveIndex(plan, job), options), job.stock);
}

Profile full_point(double radius) {
  Roundover bit;
  bit.radius = bit.working_depth = bit.cutting_radius = radius;
  return point_roundover(bit, 5);
}

// Volume of the cells whose centres satisfy `counts`, mm^3.
template <class Counts>
double volume_where(const Heightfield& field, Counts&& counts) {
  double sum = 0;
  for (std::int64_t j = 0; j < field.rows(); ++j)
    for (std::int64_t i = 0; i < field.columns(); ++i)
      if (counts(field.cell_centre(i, j))) sum -= static_cast<double>(field.at(i, j));
  return sum * field.cell() * field.cell();
}

}  // namespace

TEST_CASE("A level pass right across removes its section times the sheet", "[volume]") {
  Plan plan;
  plan.moves = {line_move({-20, 31}, {120, 29}, -3, -3)};
  const double along = 100 * std::hypot(140, 2) / 140;  // on the sheet, along the path
  // Straight bit: 4 mm by 3. Ball of 2.5: a circular segment. Full point of 3: two spandrels R^2 (1 - pi/4).
  const double half = std::acos(1 - 3 / 3.5);
  const double segment = 3.5 * 3.5 * (half - std::sin(half) * std::cos(half));
  const struct {
    Profile bit;
    double section;
  } cases[] = {{straight(4, 5), 12}, {ball(7, 5), segment}, {full_point(3), 2 * 9 * (1 - kPi / 4)}};
  for (const auto& c : cases) {
    const Job job = test::sample_job(100, 60, {c.bit});
    CHECK(removed(job, plan, 0.05).total == Approx(c.section * along).epsilon(2e-4));
  }
}

TEST_CASE("Layers share the volume of a cut between them", "[volume]") {
  // A full point of 3 at 3 mm in a sheet whose cap is 1.3: at depth z the cut is R - sqrt(2Rz - z^2) wide on
  // either side, and the integral of the root is half a circle's segment.
  const double R = 3;
  const Job job = test::sample_job(100, 60, {full_point(R)});
  Plan plan;
  plan.moves = {line_move({-20, 30}, {120, 30}, -R, -R)};
  const RemovedVolume volume = removed(job, plan, 0.025);
  REQUIRE(volume.by_layer.size() == 3);
  const double p = std::acos(1 - 1.3 / R);
  const double cap = 2 * (R * 1.3 - R * R * (p - std::sin(p) * std::cos(p)) / 2) * 100;
  const double whole = 2 * R * R * (1 - kPi / 4) * 100;
  CHECK(volume.by_layer[0] == Approx(cap).epsilon(5e-4));
  CHECK(volume.by_layer[1] == Approx(whole - cap).epsilon(5e-3));
  CHECK(volume.by_layer[2] == 0);
  CHECK(volume.total == Approx(volume.by_layer[0] + volume.by_layer[1]).epsilon(1e-12));
}

TEST_CASE("Through cuts count the sheet's thickness only", "[volume]") {
  const Job job = test::sample_job(50, 40, {straight(6, 20)});
  Plan plan;
  plan.moves = {line_move({-20, 20}, {80, 20}, -13.4, -13.4)};
  const RemovedVolume volume = removed(job, plan, 0.1);
  CHECK(volume.total == Approx(50 * 6 * 12.7).epsilon(1e-6));
  CHECK(volume.by_layer[0] == Approx(50 * 6 * 1.3).epsilon(1e-6));
  CHECK(volume.by_layer[1] == Approx(50 * 6 * 10.1).epsilon(1e-6));
}

TEST_CASE("Cells that lie half off the sheet count by half", "[volume]") {
  const Job job = test::sample_job(10.05, 7.03, {straight(40, 5)});
  Plan plan;
  plan.moves = {line_move({-5, 3}, {15, 3}, -1, -1)};
  CHECK(removed(job, plan, 0.1).total == Approx(10.05 * 7.03).epsilon(1e-6));
  CHECK(removed(job, plan, 0.7).total == Approx(10.05 * 7.03).epsilon(1e-6));
}

TEST_CASE("A circular groove obeys Pappus on both of its sides", "[volume]") {
  const double R = 3, A = 20;
  const Job job = test::sample_job(60, 60, {full_point(R), straight(4, 5)});
  CarveOptions options;
  options.cell = 0.05;
  const Vec2 centre{30.017, 29.983};
  Plan plan;
  plan.moves = {arc_move(centre, A, 0, 2 * kPi, -R, -R)};
  const Heightfield field = carve(job, plan, MoveIndex(plan, job), options);
  // Each side is a spandrel, its centroid 0.22337 R from the axis and from the face.
  const double spandrel = R * R * (1 - kPi / 4), centroid = (10 - 3 * kPi) / (12 - 3 * kPi) * R;
  CHECK(volume_where(field, [&](Vec2 p) { return distance(p, centre) > A; }) ==
        Approx(2 * kPi * (A + centroid) * spandrel).epsilon(5e-4));
  CHECK(volume_where(field, [&](Vec2 p) { return distance(p, centre) < A; }) ==
        Approx(2 * kPi * (A - centroid) * spandrel).epsilon(5e-4));
  // A part of a turn: V = t rho A, the ends two half rounds of the bit.
  const double t = 1.9;
  plan.moves = {arc_move(centre, A, 0.4, t, -2, -2, 1)};
  CHECK(removed(job, plan, 0.05).total == Approx(t * A * 4 * 2 + kPi * 4 * 2).epsilon(5e-4));
}

TEST_CASE("A closed path without self-overlap: length times section, and the moment about it", "[volume]") {
  // A rounded rectangle, run by a full point: outside L A + 2 pi M, inside L A - 2 pi M, M = A centroid.
  const double R = 2;
  const Job job = test::sample_job(90, 70, {full_point(R)});
  Plan plan;
  const Contour contour = Contour::rectangle({45, 35}, {60, 40}, 9);
  for (const Segment& s : contour.segments()) {
    Move move = line_move({}, {}, -R, -R);
    move.path = s;
    plan.moves.push_back(move);
  }
  CarveOptions options;
  options.cell = 0.05;  // the path runs between cells
  const Heightfield field = carve(job, plan, MoveIndex(plan, job), options);
  const double section = R * R * (1 - kPi / 4), moment = section * (10 - 3 * kPi) / (12 - 3 * kPi) * R;
  CHECK(volume_where(field, [&](Vec2 p) { return !contour.contains(p); }) ==
        Approx(contour.length() * section + 2 * kPi * moment).epsilon(2e-3));
  CHECK(volume_where(field, [&](Vec2 p) { return contour.contains(p); }) ==
        Approx(contour.length() * section - 2 * kPi * moment).epsilon(2e-3));
}

TEST_CASE("A cleared region grows by Steiner's formula", "[volume]") {
  const double r = 3;
  const Job job = test::sample_job(90, 70, {straight(2 * r, 5)});
  Plan plan;
  Region region;
  region.loops.push_back(Contour::rectangle({45.02, 34.97}, {50, 30}, 4));
  const double area = region.loops[0].signed_area(), around = region.loops[0].length();
  plan.regions.push_back(region);
  Move move = line_move({}, {}, -2.5, -2.5);
  move.region = 0;
  plan.moves = {move};
  CHECK(removed(job, plan, 0.05).total == Approx(2.5 * (area + around * r + kPi * r * r)).epsilon(3e-4));
  // A hole in it shrinks likewise: P r less pi r^2.
  plan.regions[0].loops.push_back(Contour::circle({45, 35}, 8).reversed());
  const double island = kPi * (8 - r) * (8 - r);
  CHECK(removed(job, plan, 0.05).total ==
        Approx(2.5 * (area + around * r + kPi * r * r - island)).epsilon(3e-4));
}

TEST_CASE("The volume converges with the cell", "[volume]") {
  const Job job = test::sample_job(60, 50, {ball(7, 5)});
  Plan plan;
  plan.moves = {line_move({10.3, 11.1}, {47.7, 38.9}, -1, -3), arc_move({30, 20}, 11, 0.3, 2.4, -2.5, -1.5)};
  double reference = 0;
  {
    const Heightfield field = carve(job, plan, MoveIndex(plan, job), [] {
      CarveOptions o;
      o.cell = 0.02;
      return o;
    }());
    reference = removed_volume(field, job.stock).total;
  }
  double before = 1e300;
  for (const double cell : {1.6, 0.4, 0.1}) {
    const double error = std::abs(removed(job, plan, cell).total / reference - 1);
    CAPTURE(cell, error);
    CHECK(error < before);
    CHECK(error < 0.01 * cell);
    before = error + 1e-6;
  }
}

}  // namespace ovolo
