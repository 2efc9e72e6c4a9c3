#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>
#include <numbers>

#include "sim/bit/forms.hpp"
#include "sim/carve/carve.hpp"
#include "sim/error.hpp"
#include "sim/parallel.hpp"
#include "tests/support/cell_error.hpp"
#include "tests/support/simd_limit.hpp"
#include "tests/support/slow_twin.hpp"

namespace ovolo {
namespace {

using test::arc_move;
using test::line_move;
constexpr double kPi = std::numbers::pi;
constexpr double kTolerance = 1e-4;  // mm: 0.1 um

Heightfield carved(const Job& job, const Plan& plan, double cell, bool simd = true,
                   std::optional<Box2> window = {}) {
  CarveOptions options;
  options.cell = cell;
  options.simd = simd;
  options.window = window;
  return carve(job, plan, MoveIndex(plan, job), options);
}

std::int64_t different_cells(const Heightfield& a, const Heightfield& b) {
  std::int64_t different = 0;
  for (std::int64_t j = 0; j < a.rows(); ++j)
    for (std::int64_t i = 0; i < a.columns(); ++i) different += a.at(i, j) != b.at(i, j);
  return different;
}

}  // namespace

TEST_CASE("Every cell agrees with every move, one by one", "[carve]") {
  const Job job = test::sample_job(150, 110, test::sample_profiles());
  for (const bool simd : {false, true}) {
    for (const std::uint32_t seed : {1u, 2u, 3u, 4u, 5u, 6u}) {
      const Plan plan = test::random_plan(job, seed, 60);
      CAPTURE(simd, seed);
      CHECK(test::worst_cell(job, plan, carved(job, plan, 0.43, simd)) < kTolerance);
    }
  }
}

TEST_CASE("Fine cells agree too, for each profile on each kind of path", "[carve]") {
  const auto profiles = test::sample_profiles();
  const Job job = test::sample_job(60, 60, profiles);
  for (std::uint32_t bit = 0; bit < profiles.size(); ++bit) {
    const std::vector<Move> moves{
        line_move({12, 15}, {41, 33}, -3, -3, bit),      line_move({10, 21}, {50, 21}, -3, -3, bit),
        line_move({21, 50}, {21, 10}, -3, -3, bit),      arc_move({30, 30}, 12, 0.5, 6, -3, -3, bit),
        arc_move({-70, 30}, 95, -0.2, 0.4, -3, -3, bit), arc_move({22, 21}, 0.7, 0, 2 * kPi, -3, -3, bit),
        line_move({12, 15}, {41, 33}, -3, -5, bit),      line_move({20, 21}, {23, 22}, -4, -3, bit),
        line_move({10, 21}, {50, 21}, -3, -3.4, bit),    arc_move({30, 30}, 12, 0.5, 6, -3, -5, bit),
        arc_move({-70, 30}, 95, -0.2, 0.4, -5, -3, bit), arc_move({22, 21}, 0.7, 0, -2 * kPi, -3, -4, bit),
    };
    for (std::size_t m = 0; m < moves.size(); ++m) {
      Plan plan;
      plan.moves = {moves[m]};
      const Heightfield field = carved(job, plan, 0.019, true, Box2{{19, 20}, {23, 23}});
      CAPTURE(bit, m);
      CHECK(test::worst_cell(job, plan, field, 2e-5, 3) < kTolerance);
    }
  }
}

TEST_CASE("Ramps and helices agree at both ends and between, where curves tell them", "[carve]") {
  // Cells so fine that working the curves out pays.
  constexpr double kCell = 0.008, kHalf = 0.5;
  const auto profiles = test::sample_profiles();
  const Job job = test::sample_job(80, 80, profiles);
  for (std::uint32_t bit = 0; bit < profiles.size(); ++bit) {
    const double reach = profiles[bit].cutting_radius();
    for (const Move& move :
         {line_move({25, 30}, {45, 41}, -4, -2.8, bit), line_move({25, 30}, {39, 31}, -1, -4.5, bit),
          arc_move({40, 40}, 9, 0.4, 2.4, -4, -2.9, bit), arc_move({40, 40}, 25, 2, -1, -1, -4, bit)}) {
      Plan plan;
      plan.moves = {move};
      for (const double share : {-0.06, 0.03, 0.5, 0.97, 1.06}) {
        const double length = move.path.length(), s = std::clamp(share, 0.0, 1.0) * length;
        const Vec2 along = move.path.tangent(s);
        for (const double side : {-0.8, 0.1, 0.75}) {
          const Vec2 p = move.path.point(s) + (share * length - s) * along + side * reach * perp(along);
          const Heightfield field =
              carved(job, plan, kCell, true, Box2{p - Vec2{kHalf, kHalf}, p + Vec2{kHalf, kHalf}});
          CAPTURE(bit, move.path.radius, move.z0, share, side);
          CHECK(test::worst_cell(job, plan, field, 2e-5, 7) < kTolerance);
        }
      }
    }
  }
}

TEST_CASE("Every instruction set carves the same cells", "[carve]") {
  const auto profiles = test::sample_profiles();
  const Job job = test::sample_job(150, 110, profiles);
  const Plan plan = test::random_plan(job, 7, 60);
  const Heightfield widest = carved(job, plan, 0.43);
  for (const test::Simd simd : {test::Simd::avx2, test::Simd::none}) {
    const test::SimdLimit limit(simd);
    const Heightfield field = carved(job, plan, 0.43);
    CAPTURE(test::name_of(simd));
    CHECK(test::worst_cell(job, plan, field) < kTolerance);
    for (std::int64_t j = 0; j < field.rows(); ++j) {
      for (std::int64_t i = 0; i < field.columns(); ++i) {
        const double off = static_cast<double>(std::abs(field.at(i, j) - widest.at(i, j)));
        if (off > kTolerance)  // beside an upright step only the place can agree
          CHECK(test::cell_error(job, plan, field, i, j) + test::cell_error(job, plan, widest, i, j) <
                kTolerance);
      }
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
  const Heightfield part = carved(job, plan, 0.25, true, Box2{{30.1, 20.3}, {71.7, 65.2}});
  const std::int64_t i0 = std::llround(part.origin().x / 0.25), j0 = std::llround(part.origin().y / 0.25);
  REQUIRE(i0 == 64);  // whole tiles of the sheet
  REQUIRE(j0 == 64);
  REQUIRE(part.origin().x + static_cast<double>(part.columns()) * 0.25 >= 71.7);
  std::int64_t different = 0;
  for (std::int64_t j = 0; j < part.rows(); ++j)
    for (std::int64_t i = 0; i < part.columns(); ++i) different += part.at(i, j) != whole.at(i + i0, j + j0);
  CHECK(different == 0);
}

TEST_CASE("A window may reach beyond the sheet", "[carve]") {
  const Job job = test::sample_job(20, 20, {ball(6, 5)});
  Plan plan;
  plan.moves = {line_move({-5, 10}, {25, 10}, -2, -2)};
  const Heightfield field = carved(job, plan, 0.1, true, Box2{{-8, 5}, {3, 15}});
  REQUIRE(field.origin().x <= -8);
  CHECK(test::worst_cell(job, plan, field) < kTolerance);
  CHECK(field.at(std::llround((-6 - field.origin().x) / 0.1), std::llround((10 - field.origin().y) / 0.1)) <
        -1.5f);
}

TEST_CASE("At the far end of a whole sheet cells keep their accuracy", "[carve]") {
  const Job job = test::sample_job(2440, 1220, test::sample_profiles());
  for (const std::uint32_t bit : {0u, 3u, 8u}) {
    Plan plan;
    plan.moves = {line_move({3, 5}, {2437, 1211}, -2, -2, bit),
                  line_move({2437, 1190}, {3, 1180}, -4, -1, bit),
                  arc_move({-8000, 600}, 10430, -0.1, 0.2, -3, -3, bit),
                  arc_move({2430, -600}, 1800, 1.2, 1.2, -3, -2.5, bit)};
    for (const test::Simd simd : {test::Simd::widest, test::Simd::none}) {
      const test::SimdLimit limit(simd);
      const Heightfield field = carved(job, plan, 0.05, true, Box2{{2410, 1180}, {2440, 1220}});
      CAPTURE(bit, test::name_of(simd));
      CHECK(test::worst_cell(job, plan, field, 2e-5, 2) < kTolerance);
    }
  }
}

TEST_CASE("Shallower passes over the same path change nothing and cost nothing", "[carve]") {
  const Job job = test::sample_job(200, 150, test::sample_profiles());
  Plan deepest;
  const Contour contour = Contour::rectangle({100, 75}, {120, 80}, 12);
  for (const Segment& s : contour.segments()) {
    Move move = line_move({}, {}, -2.2, -2.2, 1);
    move.path = s;
    deepest.moves.push_back(move);
  }
  Plan all = deepest;
  for (const double z : {-0.7, -1.4}) {
    Move ramp = deepest.moves[0];  // into the pass, along its path
    ramp.path = ramp.path.part(10, 30);
    ramp.z0 = z + 0.7;
    ramp.z1 = z;
    all.moves.insert(all.moves.begin(), ramp);
    for (Move move : deepest.moves) {
      move.z0 = move.z1 = z;
      all.moves.insert(all.moves.begin(), move);
    }
  }
  CarveOptions options;
  options.cell = 0.1;
  CarveStats one, three;
  const Heightfield a = carve(job, deepest, MoveIndex(deepest, job), options, &one);
  const Heightfield b = carve(job, all, MoveIndex(all, job), options, &three);
  CHECK(different_cells(a, b) == 0);
  CHECK(three.cell_updates == one.cell_updates);
  CHECK(test::worst_cell(job, all, b, 2e-5, 3) < kTolerance);
}

TEST_CASE("A contour in short pieces leaves the same surface as in arcs", "[carve]") {
  const Job job = test::sample_job(120, 100, test::sample_profiles());
  for (const double piece : {0.1, 1.0}) {
    for (const std::uint32_t bit : {1u, 2u, 4u}) {
      Plan arcs, pieces;
      const Contour contour = Contour::rectangle({60, 50}, {80, 60}, 14);
      for (const Segment& s : contour.segments()) {
        Move move = line_move({}, {}, -2.2, -2.2, bit);
        move.path = s;
        arcs.moves.push_back(move);
        const int n = static_cast<int>(std::lround(s.length() / piece));
        for (int k = 0; k < n; ++k) {
          move.path = Segment::line(s.point(s.length() * k / n), s.point(s.length() * (k + 1) / n));
          pieces.moves.push_back(move);
        }
      }
      const Heightfield field = carved(job, pieces, 0.21);
      CAPTURE(piece, bit);
      // Against the pieces themselves; where they are joined into arcs places move by up to 0.1 um.
      CHECK(test::worst_cell(job, pieces, field, 1.2e-4, 5) < kTolerance);
      if (piece < 0.5) CHECK(test::worst_cell(job, arcs, field, 1.2e-4, 2) < kTolerance);
    }
  }
}

TEST_CASE("A sheet that is not flat shifts the cut", "[carve]") {
  const Job job = test::sample_job(100, 80, test::sample_profiles());
  SheetShape shape;
  shape.tilt = {0.8, -0.3};
  shape.bow = 0.4;
  Plan plan = test::random_plan(job, 12, 50);
  plan.surfaces.push_back(Surface(shape, 100, 80, 12.7, ZeroOn::face));
  shape.lifts.push_back({{50, 40}, 0.3, 25, -1, 0});
  plan.surfaces.push_back(Surface(shape, 100, 80, 12.7, ZeroOn::face, {true}));
  REQUIRE_FALSE(plan.surfaces[2].flat());
  for (std::size_t i = 0; i < plan.moves.size(); ++i)
    plan.moves[i].surface = static_cast<std::uint32_t>(i % 3);
  for (const bool simd : {false, true})
    CHECK(test::worst_cell(job, plan, carved(job, plan, 0.37, simd)) < kTolerance);
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
