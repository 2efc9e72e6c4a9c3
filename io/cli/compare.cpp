#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <deque>
#include <filesystem>
#include <map>
#include <memory>

#include "io/cli/commands.hpp"
#include "io/cli/compare_picture.hpp"
#include "io/cli/run.hpp"
#include "io/cli/terminal.hpp"
#include "io/output_folder.hpp"
#include "io/report/compare.hpp"
#include "io/scene/strategies.hpp"
#include "sim/parallel.hpp"

namespace ovolo::cli {
namespace {

struct CompareOptions {
  std::vector<std::string> scenes;
  std::string out;
  int threads = 0;
  bool no_pictures = false;
};

Worked work_out(io::Strategy strategy, Progress& progress) {
  Prepared scene = prepare(std::move(strategy.job));
  return with_places(scene.job, [&] {
    MeasureOptions how;
    how.progress = &progress;
    Measures measures = measure(scene.job, scene.plan, scene.index, how);
    ShopEstimate shop = estimate(scene.job, scene.plan, scene.index, measures);
    return Worked{strategy.name, std::move(scene), std::move(measures), std::move(shop)};
  });
}

/// Strategies of one name get their scene's file behind it.
void tell_apart(std::deque<Worked>& worked) {
  std::map<std::string, int> uses;
  for (const Worked& w : worked) ++uses[w.name];
  for (Worked& w : worked)
    if (uses[w.name] > 1)
      w.name += fmt::format(" ({})", std::filesystem::path(w.scene.job.file).stem().string());
}

void run_compare(const CompareOptions& options) {
  const ThreadLimit limit(options.threads);
  TerminalProgress progress;
  std::deque<Worked> worked;
  for (const std::string& path : options.scenes)
    for (io::Strategy& strategy : io::read_strategies(path))
      worked.push_back(work_out(std::move(strategy), progress));
  if (worked.size() < 2)
    throw CLI::ValidationError(
        "scene", "there is only one way to do the job here: name another scene, or add [[strategies]]");
  tell_apart(worked);
  std::vector<Candidate> candidates;
  for (const Worked& w : worked) candidates.push_back({w.name, w.scene.job, w.measures, w.shop});
  const StrategyComparison comparison = compare(candidates);
  const std::string text = io::compare_text(candidates, comparison);
  progress.clear();
  if (options.out.empty()) {
    fmt::print("{}", text);
    return;
  }
  io::OutputFolder folder(options.out);
  folder.write("compare.txt", text);
  folder.write("compare.json", io::compare_json(candidates, comparison));
  const bool draw = !options.no_pictures && std::all_of(worked.begin(), worked.end(), [](const Worked& w) {
    return !w.measures.edges.empty();
  });
  if (draw) {
    std::vector<const Worked*> all;
    for (const Worked& w : worked) all.push_back(&w);
    progress.report("drawing", 0);
    folder.write("compare.png", draw_comparison(all, comparison));
  }
  check_interrupt();
  folder.commit();
  progress.clear();
  fmt::print("{}\nIn {}: compare.txt, compare.json{}\n", text, options.out, draw ? ", compare.png" : "");
}

}  // namespace

void add_compare(CLI::App& app) {
  const auto options = std::make_shared<CompareOptions>();
  CLI::App* command = app.add_subcommand("compare", "hold several ways to do a job against each other");
  command->add_option("scene", options->scenes, "scenes, or one scene with [[strategies]]")->required();
  command->add_option("--out", options->out, "folder for compare.txt, compare.json and the picture");
  command->add_option("--threads", options->threads, "threads to use; 0 for all")
      ->check(CLI::Range(0, 1024))
      ->capture_default_str();
  command->add_flag("--no-pictures", options->no_pictures, "leave the picture away");
  command->callback([options] { run_compare(*options); });
}

}  // namespace ovolo::cli
