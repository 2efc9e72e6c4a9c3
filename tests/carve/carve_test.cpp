#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>
#include <numbers>

#include "sim/bit/forms.hpp"
#include "sim/carve/carve.hpp"
#include "sim/error.hpp"
#include "sim/parallel.hpp"
#include "tests/support/slow_twin.hpp"

namespace ovolo {
namespace {

using test::arc_move;
using test::line_move;

Heightfield carved(const Job& job, const Plan& plan, double cell, bool simd = true) {
  CarveOptions options;
  options.cell = cell;
  options.simd = simd;
  return carve(job, plan, MoveIndex(plan, job), options);
}

// How far the cell's height lies from what the moves leave within a hair of its centre, mm: near upright
// steps and tangents the least error in place is a large one in height.
double cell_error(const Job& job, const Plan& plan, const Heightfield& field, std::int64_t i,
                  std::int64_t j) {
  constexpr double kHair = 2e-5;
  const double height = static_cast<double>(field.at(i, j));
  const Vec2 p = field.cell_centre(i, j);
  const double wanted = test::slow_height(job, plan, p);
  if (std::abs(height - wanted) < 5e-5) return std::abs(height - wanted);
  double lo = wanted, hi = wanted;
  for (const Vec2 d : {Vec2{1, 0}, Vec2{-1, 0}, Vec2{0, 1}, Vec2{0, -1}, Vec2{1, 1}, Vec2{1, -1}, Vec2{-1, 1},
                       Vec2{-1, -1}}) {
    const double beside = test::slow_height(job, plan, p + kHair * d);
    lo = std::min(lo, beside);
    hi = std::max(hi, beside);
  }
  return std::max({0.0, lo - height, height - hi});
}

}  // namespace

TEST_CASE("Every cell agrees with every move, one by one", "[carve]") {
  const Job job = test::sample_job(150, 110, test::sample_profiles());
  for (const bool simd : {false, true}) {
    for (const std::uint32_t seed : {1u, 2u, 3u, 4u}) {
      const Plan plan = test::random_plan(job, seed, 60);
      const Heightfield field = carved(job, plan, 0.37, simd);
      double worst = 0;
      for (std::int64_t j = 0; j < field.rows(); ++j)
        for (std::int64_t i = 0; i < field.columns(); ++i)
          worst = std::max(worst, cell_error(job, plan, field, i, j));
      CAPTURE(simd, seed);
      CHECK(worst < 1e-4);
    }
  }
}

TEST_CASE("The carve is the same to the byte for any number of threads", "[carve]") {
  const Job job = test::sample_job(200, 150, test::sample_profiles());
  const Plan plan = test::random_plan(job, 21, 80);
  const auto with = [&](int threads) {
    const ThreadLimit limit(threads);
    return carved(job, plan, 0.2);
  };
  const Heightfield one = with(1);
  const RemovedVolume volume = removed_volume(one, job.stock);
  for (const int threads : {2, 5}) {
    const Heightfield field = with(threads);
    REQUIRE(field.tiles_held() == one.tiles_held());
    for (std::int64_t tj = 0; tj < one.tile_rows(); ++tj) {
      for (std::int64_t ti = 0; ti < one.tile_columns(); ++ti) {
        const float* a = one.tile(ti, tj);
        const float* b = field.tile(ti, tj);
        REQUIRE((a == nullptr) == (b == nullptr));
        if (a) REQUIRE(std::memcmp(a, b, sizeof(float) * Heightfield::kTile * Heightfield::kTile) == 0);
      }
    }
    const ThreadLimit limit(threads);
    CHECK(removed_volume(field, job.stock).total == volume.total);
    CHECK(removed_volume(field, job.stock).by_layer == volume.by_layer);
  }
}

TEST_CASE("Tiles that no bit touches are not held", "[carve]") {
  const Job job = test::sample_job(400, 300, {ball(6, 5)});
  Plan plan;
  plan.moves = {line_move({100, 100}, {200, 100}, -2, -2)};
  const double cell = 0.1, tile = Heightfield::kTile * cell;
  CarveStats stats;
  CarveOptions options;
  options.cell = cell;
  const Heightfield field = carve(job, plan, MoveIndex(plan, job), options, &stats);
  const double tiles_along = std::ceil(106 / tile) + 1, tiles_across = std::ceil(6 / tile) + 1;
  CHECK(static_cast<double>(field.tiles_held()) <= tiles_along * tiles_across);
  CHECK(stats.cells == static_cast<std::int64_t>(field.tiles_held()) * 4096);
  CHECK(field.tile(0, 0) == nullptr);
  CHECK(field.at(0, 0) == 0);
  CHECK(field.at(1500, 1000) < -1.9f);

  plan.moves[0].role = MoveRole::rapid;  // rapids do not cut
  CHECK(carved(job, plan, cell).tiles_held() == 0);
  plan.moves[0] = line_move({100, 100}, {200, 100}, 0.5, 2);  // nor do moves above the face
  CHECK(carved(job, plan, cell).tiles_held() == 0);
}

TEST_CASE("A window holds the same cells as the whole sheet", "[carve]") {
  const Job job = test::sample_job(120, 90, test::sample_profiles());
  const Plan plan = test::random_plan(job, 5, 60);
  const Heightfield whole = carved(job, plan, 0.25);
  CarveOptions options;
  options.cell = 0.25;
  options.window = Box2{{30.1, 20.3}, {71.7, 65.2}};
  const Heightfield part = carve(job, plan, MoveIndex(plan, job), options);
  const std::int64_t i0 = std::llround(part.origin().x / 0.25), j0 = std::llround(part.origin().y / 0.25);
  REQUIRE(i0 == 64);  // whole tiles of the sheet
  REQUIRE(j0 == 64);
  REQUIRE(part.origin().x + static_cast<double>(part.columns()) * 0.25 >= 71.7);
  std::int64_t different = 0;
  for (std::int64_t j = 0; j < part.rows(); ++j)
    for (std::int64_t i = 0; i < part.columns(); ++i) different += part.at(i, j) != whole.at(i + i0, j + j0);
  CHECK(different == 0);
}

TEST_CASE("A job that does not fit is refused with the cell that would", "[carve]") {
  const Job job = test::sample_job(2440, 1220, {ball(6, 5)});
  Plan plan;
  for (int i = 0; i < 30; ++i)
    plan.moves.push_back(line_move({10, 20.0 + 40 * i}, {2400, 30.0 + 40 * i}, -2, -2));
  const MoveIndex index(plan, job);
  CarveOptions options;
  options.memory_limit = 50'000'000;
  for (const double cell : {0.05, 0.001, 1e-7}) {
    options.cell = cell;
    CHECK(carve_bytes(job, plan, index, options) > options.memory_limit);
    std::string message;
    try {
      carve(job, plan, index, options);
    } catch (const MemoryError& e) {
      message = e.what();
    }
    CAPTURE(message);
    const std::size_t at = message.find("set --cell ");
    REQUIRE(at != std::string::npos);
    CHECK(message.find("47.7 MiB is free") != std::string::npos);
    const double fits = std::stod(message.substr(at + 11));
    options.cell = fits;
    CHECK(carve_bytes(job, plan, index, options) <= options.memory_limit);
    CarveStats stats;
    carve(job, plan, index, options, &stats);
    CHECK(stats.bytes <= options.memory_limit);
    options.cell = fits / 1.35;  // no needless coarseness
    CHECK(carve_bytes(job, plan, index, options) > options.memory_limit);
  }
}

TEST_CASE("Progress is told and an interruption ends the carve", "[carve]") {
  struct Counter : Progress {
    int calls = 0;
    double last = 0;
    int stop_after = 1 << 30;
    void report(std::string_view what, double done) override {
      CHECK(what == "carving");
      CHECK(done >= last);
      last = done;
      if (++calls >= stop_after) throw Interrupted();
    }
  };
  const Job job = test::sample_job(300, 200, test::sample_profiles());
  const Plan plan = test::random_plan(job, 9, 50);
  CarveOptions options;
  options.cell = 0.3;
  Counter counter;
  options.progress = &counter;
  carve(job, plan, MoveIndex(plan, job), options);
  CHECK(counter.calls > 10);
  CHECK(counter.last == 1);
  Counter stopping;
  stopping.stop_after = 3;
  options.progress = &stopping;
  CHECK_THROWS_AS(carve(job, plan, MoveIndex(plan, job), options), Interrupted);
  CHECK(stopping.calls == 3);
}

TEST_CASE("A cell size that is none is refused", "[carve]") {
  const Job job = test::sample_job(10, 10, {ball(6, 5)});
  CHECK_THROWS_AS(carved(job, Plan{}, 0), JobError);
  CHECK_THROWS_AS(carved(job, Plan{}, -1), JobError);
  CHECK_THROWS_AS(carved(job, Plan{}, std::nan("")), JobError);
}

}  // namespace ovolo
