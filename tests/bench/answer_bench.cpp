// What a moved slider of the live page waits for: its answers, without the browser.
#include <benchmark/benchmark.h>

#include <string>

#include "io/cli/quick_close_up.hpp"
#include "io/file.hpp"
#include "io/try/answer.hpp"

namespace {

ovolo::io::Sample sample(const std::string& name = "trailhead-sign") {
  const std::string folder = OVOLO_SOURCE_DIR "/scenes";
  const std::string file = folder + "/" + name + ".toml";
  return {ovolo::io::read_file(file), file, folder};
}

// A depth that is another one each time, as under a moving slider.
std::string question(int turn) {
  return R"({"edits": [{"path": "operations/1/depth", "value": "3.)" + std::to_string(400 + turn % 200) +
         R"("}, {"path": "operations/1/passes", "value": "2"}]})";
}

void answer_to_a_slider(benchmark::State& state) {
  const ovolo::io::Sample scene = sample();
  int turn = 0;
  for (auto _ : state) {
    const std::string answer = ovolo::io::answer_cut(scene, question(turn++));
    if (!answer.starts_with("{\"ok\":true")) return state.SkipWithError(answer.substr(0, 200).c_str());
  }
}
BENCHMARK(answer_to_a_slider)->Unit(benchmark::kMillisecond);

// On a sheet that is not flat hundreds of places are measured, as all the job's moves leave them.
void answer_on_a_warped_sheet(benchmark::State& state) {
  const ovolo::io::Sample scene = sample("warped-door");
  int turn = 0;
  for (auto _ : state) {
    const std::string answer =
        ovolo::io::answer_cut(scene, R"({"edits": [{"path": "operations/0/depth", "value": "3.0)" +
                                         std::to_string(10 + turn++ % 90) +
                                         R"("}, {"path": "operations/0/passes", "value": "2"}]})");
    if (!answer.starts_with("{\"ok\":true")) return state.SkipWithError(answer.substr(0, 200).c_str());
  }
}
BENCHMARK(answer_on_a_warped_sheet)->Unit(benchmark::kMillisecond)->UseRealTime();

void window_of_settings(benchmark::State& state) {
  const ovolo::io::Sample scene = sample();
  for (auto _ : state) benchmark::DoNotOptimize(ovolo::io::answer_window(scene, question(0)));
}
BENCHMARK(window_of_settings)->Unit(benchmark::kMillisecond)->UseRealTime();

void whole_job_without_picture(benchmark::State& state) {
  const ovolo::io::Sample scene = sample();
  for (auto _ : state) benchmark::DoNotOptimize(ovolo::io::answer_whole(scene, question(0), {}));
}
BENCHMARK(whole_job_without_picture)->Unit(benchmark::kMillisecond)->UseRealTime();

// What follows when the slider rests: all stations, the carve about the worst place and its close-up.
void whole_job_with_close_up(benchmark::State& state) {
  const ovolo::io::Sample scene = sample();
  for (auto _ : state) {
    const std::string answer = ovolo::io::answer_whole(scene, question(0), ovolo::cli::quick_close_up);
    if (answer.find("data:image/png") == std::string::npos) return state.SkipWithError("no close-up");
  }
}
BENCHMARK(whole_job_with_close_up)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
