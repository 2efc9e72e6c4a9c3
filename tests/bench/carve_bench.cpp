#include <benchmark/benchmark.h>

#include <algorithm>
#include <memory>

#include "sim/carve/carve.hpp"
#include "sim/parallel.hpp"
#include "tests/bench/sweep_timer.hpp"

// Carving beside the memory's own limit, in one run. Counters: updates, cells evaluated per second; limit,
// cells per second of an in-place min over the same tiles; ratio, the first over the second; share, time of
// the min over time of the sweep.
namespace ovolo::bench {
namespace {

constexpr double kCell = 0.05;

void sweep(benchmark::State& state, const BenchJob& job) {
  SweepTimer timer(job, kCell);
  std::int64_t updates = 0;
  double best = 1e300, limit = 1e300;
  for (auto _ : state) {
    const double seconds = timer.sweep(updates);
    best = std::min(best, seconds);
    limit = std::min(limit, timer.plain_min());
    state.SetIterationTime(seconds);
  }
  const double per_second = static_cast<double>(updates) / best,
               most = static_cast<double>(timer.cells()) / limit;
  state.counters["updates"] = per_second;
  state.counters["limit"] = most;
  state.counters["ratio"] = per_second / most;
  state.counters["share"] = limit / best;
}

void whole_carve(benchmark::State& state, const BenchJob& job, int threads) {
  const ThreadLimit limit(threads);
  const MoveIndex index(job.plan, job.job);
  CarveOptions options;
  options.cell = kCell;
  CarveStats stats;
  for (auto _ : state) {
    const double begin = seconds_now();
    const Heightfield field = carve(job.job, job.plan, index, options, &stats);
    state.SetIterationTime(seconds_now() - begin);
  }
  double edge = 0;
  for (const Move& move : job.plan.moves) edge += move.path.length();
  state.counters["cells"] = static_cast<double>(stats.cells);
  state.counters["bytes"] = static_cast<double>(stats.bytes);
  state.counters["bytes_per_mm"] = static_cast<double>(stats.bytes) / edge;
}

void add(BenchJob job) {
  const auto shared = std::make_shared<BenchJob>(std::move(job));
  benchmark::RegisterBenchmark(("sweep/" + shared->name).c_str(),
                               [shared](benchmark::State& s) { sweep(s, *shared); })
      ->UseManualTime()
      ->Iterations(7)
      ->Unit(benchmark::kMillisecond);
}

void add_whole(BenchJob job, int threads) {
  const auto shared = std::make_shared<BenchJob>(std::move(job));
  benchmark::RegisterBenchmark(
      ("carve/" + shared->name + ", " + std::to_string(threads) + " threads").c_str(),
      [shared, threads](benchmark::State& s) { whole_carve(s, *shared, threads); })
      ->UseManualTime()
      ->Iterations(5)
      ->Unit(benchmark::kMillisecond);
}

}  // namespace

void register_carve_benches() {
  add(rounded_parts(100));
  add(lines_along(true));
  add(lines_along(false));
  for (const auto& [name, bit] : families()) add(slanting_lines(bit, "slanting lines, " + name));
  add(circles(20));
  add(circles(100));
  add(wide_arcs());
  add(ramps(20));
  add(ramps(100));
  add(helices(20));
  add(helices(100));
  add(regions());
  add(broken_parts(100, 1));
  add(broken_parts(100, 0.1));
  add(passed_parts(100, 4));
  add_whole(rounded_parts(100), 2);
  add_whole(rounded_parts(100), 1);
  add_whole(rounded_parts(10), 2);
  add_whole(rounded_parts(1000), 2);
}

}  // namespace ovolo::bench
