#include <fmt/chrono.h>
#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <ctime>
#include <memory>

#include "io/cli/commands.hpp"
#include "io/cli/run.hpp"
#include "io/cli/terminal.hpp"
#include "io/output_folder.hpp"
#include "io/report/shop.hpp"
#include "io/scene/timings.hpp"
#include "sim/measure/edge.hpp"
#include "sim/shop/estimate.hpp"

namespace ovolo::cli {
namespace {

/// What sanding one part of the scene takes, by its prediction.
SandTiming predicted(const std::string& scene_path, double seconds, Progress& progress) {
  const Prepared scene = prepare(scene_path);
  return with_places(scene.job, [&] {
    MeasureOptions how;
    how.progress = &progress;
    const Measures measures = measure(scene.job, scene.plan, scene.index, how);
    const ShopEstimate shop = estimate(scene.job, scene.plan, scene.index, measures);
    SandTiming timing{seconds, 0, 0};
    for (const EdgeFinish& edge : shop.edges) {
      if (edge.shared) continue;
      timing.equivalent += edge.sanding.equivalent / scene.job.shop.rates.parts_per_sheet;
      timing.stroke += edge.sanding.stroke / scene.job.shop.rates.parts_per_sheet;
    }
    return timing;
  });
}

void calibrate(const std::string& timings_path, const std::string& out) {
  TerminalProgress progress;
  const io::Timings file = io::read_timings(timings_path);
  std::vector<SandTiming> timings;
  for (const io::TimedPart& part : file.parts)
    timings.push_back(part.timing ? *part.timing : predicted(part.scene, part.seconds, progress));
  SandFit fit;
  try {
    fit = fit_sand_rates(timings, file.held, file.fit_per_metre);
  } catch (const JobError& e) {
    throw io::SceneError(file.source, e.what());
  }
  progress.clear();
  fmt::print("part    timed    fitted      work    stroke\n");
  for (std::size_t i = 0; i < timings.size(); ++i) {
    const SandTiming& t = timings[i];
    const SandRates& r = fit.rates;
    fmt::print("{:>4} {:>6.1f} s {:>7.1f} s {:>6.0f} mm3 {:>6.0f} mm\n", i + 1, t.seconds,
               r.handling.value + r.per_metre.value * t.stroke / 1000 + r.per_mm3.value * t.equivalent,
               t.equivalent, t.stroke);
  }
  fmt::print("handling {} s per part\n", io::format_range(fit.rates.handling, 1));
  fmt::print("per metre of edge and grit {} s{}\n", io::format_range(fit.rates.per_metre, 1),
             fit.per_metre_fitted ? "" : " (held, not fitted)");
  fmt::print("per mm3 with P120 {} s\n", io::format_range(fit.rates.per_mm3, 4));
  fmt::print(
      "in brackets the range that holds 95 % of what such timings can mean; a part's time scatters by {:.1f} "
      "s\n",
      fit.scatter);
  const std::time_t now = std::time(nullptr);
  io::write_file(out, io::rates_file(fit, timings, fmt::format("{:%Y-%m-%d}", fmt::localtime(now))));
  fmt::print("wrote {}: name it in a scene as\n  [sanding]\n  rates = \"{}\"\n", out, out);
}

}  // namespace

void add_sand(CLI::App& app) {
  struct Options {
    std::string timings, out = "sanding.toml";
  };
  const auto options = std::make_shared<Options>();
  CLI::App* sand = app.add_subcommand("sand", "sanding: fit its rates to the shop's own timings");
  sand->require_subcommand(1);
  CLI::App* command = sand->add_subcommand("calibrate", "fit the sanding rates to three or more timed parts");
  command->add_option("timings", options->timings, "file with [[parts]]: seconds, and scene or work")
      ->required();
  command->add_option("--out", options->out, "rates file to write")->capture_default_str();
  command->callback([options] { calibrate(options->timings, options->out); });
}

}  // namespace ovolo::cli
