#include <benchmark/benchmark.h>

#include <cstdlib>
#include <filesystem>
#include <memory>
#include <stdexcept>

#include "io/scene/scene.hpp"
#include "render/close_up.hpp"
#include "sim/carve/carve.hpp"
#include "sim/measure/edge.hpp"
#include "sim/measure/section.hpp"
#include "tests/bench/bench_jobs.hpp"
#include "tests/bench/sweep_timer.hpp"

// What is asked for beside the carve: stations measured, one edge tried with other settings, a close-up, and
// a whole `ovolo cut`.
namespace ovolo::bench {
namespace {

struct Scene {
  Job job;
  Plan plan;
  MoveIndex index;
  explicit Scene(const std::string& name)
      : job(io::read_scene(std::string(OVOLO_SOURCE_DIR "/scenes/") + name)),
        plan(make_plan(job)),
        index(plan, job) {}
};

constexpr const char* kScene = "trailhead-sign.toml";

void stations(benchmark::State& state) {
  const Scene scene(kScene);
  MeasureOptions options;
  options.spacing = 0.08;
  double count = 0, best = 1e300;
  for (auto _ : state) {
    const double begin = seconds_now();
    const Measures measures = measure(scene.job, scene.plan, scene.index, options);
    best = std::min(best, seconds_now() - begin);
    count = 0;
    for (const EdgeMeasures& edge : measures.edges) count += static_cast<double>(edge.stations.size());
  }
  state.counters["stations"] = count;
  state.counters["s_for_10000"] = best * 10000 / count;
}

void what_if(benchmark::State& state) {
  const Scene scene(kScene);
  const Operation& op = scene.job.operations.front();
  const Bit& bit = scene.job.bits[op.bit];
  const WantedForm wanted = wanted_form(op, bit);
  SectionContext context;
  context.stock = &scene.job.stock;
  context.wanted = &wanted;
  context.wishes = &scene.job.wishes;
  context.makes_face.assign(scene.job.operations.size(), false);
  double depth = 3;
  for (auto _ : state) {
    depth = depth < 3.6 ? depth + 0.001 : 3;
    const Section section = SectionMaker::straight(bit.profile, depth, 0.4, bit.profile.cutting_radius() + 2);
    benchmark::DoNotOptimize(measure_section(section, context).lip);
  }
}

void close_up(benchmark::State& state) {
  const Scene scene(kScene);
  const Measures measures = measure(scene.job, scene.plan, scene.index);
  const EdgeMeasures& edge = measures.edges.front();
  const Operation& op = scene.job.operations[edge.operation];
  const Station& station = edge.stations[edge.stations.size() / 2];
  const render::CloseUpView view =
      render::close_up_view(station, wanted_form(op, scene.job.bits[op.bit]), scene.job.stock);
  CarveOptions options;
  options.cell = render::close_up_cell(view);
  options.window = render::close_up_window(view, scene.job.stock);
  for (auto _ : state) {
    const Heightfield field = carve(scene.job, scene.plan, scene.index, options);
    const render::Image image = render::draw_close_up(
        {field, scene.job.stock, scene.job.contours[static_cast<std::size_t>(op.contour)].contour, op.keep,
         view, op.name, &station.measures, true});
    benchmark::DoNotOptimize(&image);
  }
}

void whole_cut(benchmark::State& state) {
  const std::filesystem::path out = std::filesystem::temp_directory_path() / "ovolo-bench-cut";
  const std::string command = std::string("'" OVOLO_BINARY "' cut '" OVOLO_SOURCE_DIR "/scenes/") + kScene +
                              "' --out '" + out.string() + "' >/dev/null";
  for (auto _ : state)
    if (std::system(command.c_str()) != 0) throw std::runtime_error("`ovolo cut` failed: " + command);
  std::filesystem::remove_all(out);
}

}  // namespace

void register_measure_benches() {
  benchmark::RegisterBenchmark("measure/stations", stations)
      ->Iterations(3)
      ->UseRealTime()
      ->Unit(benchmark::kMillisecond);
  benchmark::RegisterBenchmark("measure/what-if of one edge", what_if)
      ->UseRealTime()
      ->Unit(benchmark::kMillisecond);
  benchmark::RegisterBenchmark("render/close-up 1600 x 1000", close_up)
      ->Iterations(3)
      ->UseRealTime()
      ->Unit(benchmark::kMillisecond);
  benchmark::RegisterBenchmark("ovolo cut, the demo's sign", whole_cut)
      ->Iterations(3)
      ->UseRealTime()
      ->Unit(benchmark::kMillisecond);
}

}  // namespace ovolo::bench
