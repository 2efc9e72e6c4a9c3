#include <benchmark/benchmark.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/bit/forms.hpp"
#include "sim/carve/carve.hpp"
#include "tests/bench/bench_jobs.hpp"
#include "tests/bench/sweep_timer.hpp"
#ifdef OVOLO_BENCH_OPENVDB
#include <openvdb/openvdb.h>
#include <openvdb/tools/Composite.h>
#include <openvdb/tools/Interpolation.h>
#include <openvdb/tools/LevelSetPlatonic.h>
#include <openvdb/tools/LevelSetSphere.h>
#endif

// The same small job, a slanting line and an arc, carved by other ways: the bit stamped at places half a cell
// apart, and level sets of the bit taken from one of the sheet. Counters: times_ours, how many times longer
// than our carve; worst and ours_worst, the largest distance from the closed form, mm.
namespace ovolo::bench {
namespace {

constexpr double kDepth = 3, kAirAbove = 1;

BenchJob small_job() {
  BenchJob out{"one slanting line and one arc", sheet_job(ball(10, 20)), {}};
  out.job.stock.width = 40;
  out.job.stock.height = 30;
  const Vec2 a{8, 8}, b{20, 12}, along = normalized(b - a), centre = b + 8 * perp(along);
  Move move;
  move.z0 = move.z1 = -kDepth;
  move.path = Segment::line(a, b);
  out.plan.moves.push_back(move);
  move.path = Segment::arc(centre, 8, angle_of(b - centre), std::numbers::pi / 3);
  out.plan.moves.push_back(move);
  return out;
}

// What the moves leave at p, move by move in double.
double closed_form(const BenchJob& job, Vec2 p) {
  double z = 0;
  for (const Move& move : job.plan.moves)
    z = std::min(z, swept_height(move, job.job.bits[move.bit].profile, job.plan.regions, p));
  return z;
}

template <class Height>
double worst_error(const BenchJob& job, double cell, Height&& height) {
  double worst = 0;
  for (double y = 4.5 * cell; y < job.job.stock.height; y += 3 * cell)
    for (double x = 4.5 * cell; x < job.job.stock.width; x += 3 * cell)
      worst = std::max(worst, std::abs(height(Vec2{x, y}) - closed_form(job, {x, y})));
  return worst;
}

struct Ours {
  double seconds = 1e300, worst = 0;
};

Ours our_carve(const BenchJob& job, double cell) {
  Ours out;
  const MoveIndex index(job.plan, job.job);
  CarveOptions options;
  options.cell = cell;
  for (int i = 0; i < 5; ++i) {
    const double begin = seconds_now();
    const Heightfield field = carve(job.job, job.plan, index, options);
    out.seconds = std::min(out.seconds, seconds_now() - begin);
    out.worst = worst_error(job, cell, [&](Vec2 p) {
      return static_cast<double>(
          field.at(static_cast<std::int64_t>(p.x / cell), static_cast<std::int64_t>(p.y / cell)));
    });
  }
  return out;
}

// Calls stamp(place) at places no more than `step` apart along all moves.
template <class Stamp>
void along_moves(const BenchJob& job, double step, Stamp&& stamp) {
  for (const Move& move : job.plan.moves) {
    const double length = move.path.length();
    const int n = static_cast<int>(std::ceil(length / step));
    for (int k = 0; k <= n; ++k) stamp(move.path.point(length * k / n));
  }
}

void tell(benchmark::State& state, const Ours& ours, double seconds, double worst) {
  state.counters["times_ours"] = seconds / ours.seconds;
  state.counters["worst"] = worst;
  state.counters["ours_worst"] = ours.worst;
}

void dense_stamping(benchmark::State& state) {
  constexpr double kCell = 0.05;
  const BenchJob job = small_job();
  const Ours ours = our_carve(job, kCell);
  const Profile& profile = job.job.bits[0].profile;
  const int columns = static_cast<int>(job.job.stock.width / kCell + 0.5),
            rows = static_cast<int>(job.job.stock.height / kCell + 0.5);
  std::vector<float> heights(static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows));
  const double reach = profile.cutting_radius();
  double best = 1e300;
  for (auto _ : state) {
    std::fill(heights.begin(), heights.end(), 0.0f);
    const double begin = seconds_now();
    along_moves(job, kCell / 2, [&](Vec2 at) {
      const int j0 = std::max(0, static_cast<int>((at.y - reach) / kCell)),
                j1 = std::min(rows - 1, static_cast<int>((at.y + reach) / kCell));
      const int i0 = std::max(0, static_cast<int>((at.x - reach) / kCell)),
                i1 = std::min(columns - 1, static_cast<int>((at.x + reach) / kCell));
      for (int j = j0; j <= j1; ++j) {
        for (int i = i0; i <= i1; ++i) {
          const double r = std::hypot((i + 0.5) * kCell - at.x, (j + 0.5) * kCell - at.y);
          if (r > reach) continue;
          float& h = heights[static_cast<std::size_t>(j) * static_cast<std::size_t>(columns) +
                             static_cast<std::size_t>(i)];
          h = std::min(h, static_cast<float>(profile.height(r) - kDepth));
        }
      }
    });
    best = std::min(best, seconds_now() - begin);
  }
  tell(state, ours, best, worst_error(job, kCell, [&](Vec2 p) {
         return static_cast<double>(
             heights[static_cast<std::size_t>(p.y / kCell) * static_cast<std::size_t>(columns) +
                     static_cast<std::size_t>(p.x / kCell)]);
       }));
}

#ifdef OVOLO_BENCH_OPENVDB
void level_sets(benchmark::State& state) {
  constexpr double kCell = 0.2;
  const BenchJob job = small_job();
  const Ours ours = our_carve(job, kCell);
  const float cell = static_cast<float>(kCell);
  openvdb::initialize();
  double best = 1e300, worst = 0;
  for (auto _ : state) {
    const double begin = seconds_now();
    auto transform = openvdb::math::Transform::createLinearTransform(kCell);
    const openvdb::math::BBox<openvdb::Vec3s> box(
        openvdb::Vec3s(0, 0, -12.7f),
        openvdb::Vec3s(static_cast<float>(job.job.stock.width), static_cast<float>(job.job.stock.height), 0));
    auto sheet = openvdb::tools::createLevelSetBox<openvdb::FloatGrid>(box, *transform);
    along_moves(job, kCell / 2, [&](Vec2 at) {
      auto bit = openvdb::tools::createLevelSetSphere<openvdb::FloatGrid>(
          5,
          openvdb::Vec3f(static_cast<float>(at.x), static_cast<float>(at.y), static_cast<float>(5 - kDepth)),
          cell);
      openvdb::tools::csgDifference(*sheet, *bit);
    });
    best = std::min(best, seconds_now() - begin);
    // The surface's distance from the closed form, seen from places on the form well below the face.
    worst = 0;
    const openvdb::tools::GridSampler<openvdb::FloatGrid, openvdb::tools::BoxSampler> sampler(*sheet);
    for (double y = 1; y < job.job.stock.height - 1; y += kCell)
      for (double x = 1; x < job.job.stock.width - 1; x += kCell) {
        const double z = closed_form(job, {x, y});
        if (z < -kAirAbove)
          worst = std::max(worst, std::abs(static_cast<double>(sampler.wsSample({x, y, z}))));
      }
  }
  tell(state, ours, best, worst);
}
#endif

}  // namespace

void register_other_ways() {
  benchmark::RegisterBenchmark("other ways/stamps half a cell apart, 0.05 mm", dense_stamping)
      ->Iterations(2)
      ->UseRealTime()
      ->Unit(benchmark::kMillisecond);
#ifdef OVOLO_BENCH_OPENVDB
  benchmark::RegisterBenchmark("other ways/level set differences, 0.2 mm", level_sets)
      ->Iterations(1)
      ->UseRealTime()
      ->Unit(benchmark::kMillisecond);
#endif
}

}  // namespace ovolo::bench
