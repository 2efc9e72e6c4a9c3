#include <benchmark/benchmark.h>

#include <algorithm>
#include <array>
#include <initializer_list>
#include <memory>
#include <vector>

#include "sim/carve/carve.hpp"
#include "sim/parallel.hpp"
#include "tests/bench/resident.hpp"
#include "tests/bench/sweep_timer.hpp"
#include "tests/support/simd_limit.hpp"

// Carving beside the memory's own limit, in one run. Counters: updates, cells evaluated per second; limit,
// cells per second of an in-place min over the same tiles, timed beside each sweep; ratio, the first over the
// second (the middle one of all sweeps, so that a busy neighbour does not tell); share, time of the min over
// time of the sweep.
namespace ovolo::bench {
namespace {

using test::name_of;
using test::Simd;
using test::SimdLimit;

constexpr double kCell = 0.05;

double middle(std::vector<double> v) {
  std::nth_element(v.begin(), v.begin() + static_cast<std::ptrdiff_t>(v.size() / 2), v.end());
  return v[v.size() / 2];
}

void sweep(benchmark::State& state, const BenchJob& job, Simd simd) {
  const SimdLimit limit(simd);
  SweepTimer timer(job, kCell);
  std::int64_t updates = 0;
  std::vector<double> seconds, ratio, share;
  double best_min = 1e300;
  for (auto _ : state) {
    const double plain = timer.plain_min();
    seconds.push_back(timer.sweep(updates));
    best_min = std::min(best_min, plain);
    share.push_back(plain / seconds.back());
    ratio.push_back(share.back() * static_cast<double>(updates) / static_cast<double>(timer.cells()));
    state.SetIterationTime(seconds.back());
  }
  state.counters["updates"] =
      static_cast<double>(updates) / *std::min_element(seconds.begin(), seconds.end());
  state.counters["limit"] = static_cast<double>(timer.cells()) / best_min;
  state.counters["ratio"] = middle(ratio);
  state.counters["share"] = middle(share);
}

// Memory's first touch alone: the same tiles written once, straight from the system.
void first_touch(benchmark::State& state, const BenchJob& job) {
  for (auto _ : state) {
    SweepTimer timer(job, kCell);
    state.SetIterationTime(timer.first_touch());
    state.counters["cells"] = static_cast<double>(timer.cells());
  }
}

// One thread's time over two threads': of the sweep, of the min over the same tiles (what the memory gives),
// and of both one after the other as a carve does them: first touch, then sweep.
void two_threads(benchmark::State& state, const BenchJob& job) {
  std::vector<double> sweeps, mins, touched;
  for (auto _ : state) {
    std::array<double, 2> sweep_time{}, min_time{}, whole_time{};
    for (const std::size_t threads : {std::size_t{1}, std::size_t{2}}) {
      const ThreadLimit limit(static_cast<int>(threads));
      std::int64_t updates = 0;
      SweepTimer timer(job, kCell);
      min_time[threads - 1] = std::min(timer.plain_min(), timer.plain_min());
      sweep_time[threads - 1] = std::min(timer.sweep(updates), timer.sweep(updates));
      whole_time[threads - 1] = timer.first_touch() + sweep_time[threads - 1];
    }
    sweeps.push_back(sweep_time[0] / sweep_time[1]);
    mins.push_back(min_time[0] / min_time[1]);
    touched.push_back(whole_time[0] / whole_time[1]);
    state.SetIterationTime(sweep_time[1]);
  }
  state.counters["sweep_gain"] = middle(sweeps);
  state.counters["min_gain"] = middle(mins);
  state.counters["touch_gain"] = middle(touched);
}

void whole_carve(benchmark::State& state, const BenchJob& job, int threads) {
  const ThreadLimit limit(threads);
  const MoveIndex index(job.plan, job.job);
  CarveOptions options;
  options.cell = kCell;
  CarveStats stats;
  const double before = resident_bytes();
  double held = 0;
  std::vector<double> seconds;
  for (auto _ : state) {
    const double begin = seconds_now();
    const Heightfield field = carve(job.job, job.plan, index, options, &stats);
    seconds.push_back(seconds_now() - begin);
    state.SetIterationTime(seconds.back());
    held = std::max(held, resident_bytes() - before);
  }
  state.counters["resident"] = held;                   // more than before, while the field lives
  state.counters["kept"] = resident_bytes() - before;  // still held once it is gone
  double edge = 0;
  for (const Move& move : job.plan.moves) edge += move.path.length();
  state.counters["middle_s"] = middle(seconds);  // the system may have to gather large pages for the first
  state.counters["cells"] = static_cast<double>(stats.cells);
  state.counters["bytes"] = static_cast<double>(stats.bytes);
  state.counters["bytes_per_mm"] = static_cast<double>(stats.bytes) / edge;
}

// What ten times the parts cost against one time, each carved as a whole, in turns.
void ten_times(benchmark::State& state, int parts) {
  const std::array<BenchJob, 2> jobs{rounded_parts(parts), rounded_parts(10 * parts)};
  std::vector<double> times, memory;
  for (auto _ : state) {
    std::array<double, 2> seconds{}, bytes{};
    for (std::size_t k = 0; k < 2; ++k) {
      const MoveIndex index(jobs[k].plan, jobs[k].job);
      CarveOptions options;
      options.cell = kCell;
      CarveStats stats;
      const double begin = seconds_now();
      const Heightfield field = carve(jobs[k].job, jobs[k].plan, index, options, &stats);
      seconds[k] = seconds_now() - begin;
      bytes[k] = static_cast<double>(stats.bytes);
    }
    times.push_back(seconds[1] / seconds[0]);
    memory.push_back(bytes[1] / bytes[0]);
    state.SetIterationTime(seconds[1]);
  }
  state.counters["time_ratio"] = middle(times);
  state.counters["memory_ratio"] = middle(memory);
}

void add(BenchJob job, std::initializer_list<Simd> levels = {Simd::widest}) {
  const auto shared = std::make_shared<BenchJob>(std::move(job));
  for (const Simd simd : levels)
    benchmark::RegisterBenchmark((std::string(name_of(simd)) + "/" + shared->name).c_str(),
                                 [shared, simd](benchmark::State& s) { sweep(s, *shared, simd); })
        ->UseManualTime()
        ->Iterations(simd == Simd::none ? 2 : 7)
        ->Unit(benchmark::kMillisecond);
}

void add_first_touch(BenchJob job) {
  const auto shared = std::make_shared<BenchJob>(std::move(job));
  benchmark::RegisterBenchmark(("first touch/" + shared->name).c_str(),
                               [shared](benchmark::State& s) { first_touch(s, *shared); })
      ->UseManualTime()
      ->Iterations(3)
      ->Unit(benchmark::kMillisecond);
}

void add_threads(BenchJob job) {
  const auto shared = std::make_shared<BenchJob>(std::move(job));
  benchmark::RegisterBenchmark(("two threads/" + shared->name).c_str(),
                               [shared](benchmark::State& s) { two_threads(s, *shared); })
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
  const std::initializer_list<Simd> all{Simd::widest, Simd::avx2, Simd::none};
  add(rounded_parts(100), all);
  add(lines_along(true), all);
  add(lines_along(false));
  for (const auto& [name, bit] : families()) add(slanting_lines(bit, "slanting lines, " + name), all);
  add(circles(20), all);
  add(circles(100), all);
  add(wide_arcs(), all);
  add(ramps(20), all);
  add(ramps(100), all);
  add(helices(20), all);
  add(helices(100), all);
  add(regions());
  add(broken_parts(100, 1));
  add(broken_parts(100, 0.1));
  add(passed_parts(100, 4));
  add_first_touch(rounded_parts(100));
  add_threads(rounded_parts(100));
  add_threads(circles(100));
  add_threads(ramps(100));
  add_whole(rounded_parts(100), 2);
  add_whole(rounded_parts(100), 1);
  benchmark::RegisterBenchmark("ten times the parts/10 and 100",
                               [](benchmark::State& s) { ten_times(s, 10); })
      ->UseManualTime()
      ->Iterations(9)
      ->Unit(benchmark::kMillisecond);
}

}  // namespace ovolo::bench
