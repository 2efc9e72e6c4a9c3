#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <optional>
#include <string>

#include "io/cli/commands.hpp"
#include "io/cli/picture_files.hpp"
#include "io/cli/run.hpp"
#include "io/cli/terminal.hpp"
#include "io/output_folder.hpp"
#include "io/report/batch.hpp"
#include "render/batch_plot.hpp"
#include "sim/advise/batch.hpp"
#include "sim/parallel.hpp"

namespace ovolo::cli {
namespace {

struct BatchCommand {
  std::string scene, out;
  int parts = 0, threads = 0;
  std::uint64_t seed = 1;
  bool no_pictures = false;
};

void run_batch(const BatchCommand& options) {
  const ThreadLimit limit(options.threads);
  TerminalProgress progress;
  const Prepared scene = prepare(options.scene);
  const Job& job = scene.job;
  BatchOptions how;
  how.parts = options.parts > 0 ? options.parts : job.shop.rates.batch;
  how.seed = options.seed;
  how.progress = &progress;
  const BatchResult batch = with_places(job, [&] { return draw_batches(job, how); });
  const std::string text = io::batch_text(job, batch);
  std::optional<io::OutputFolder> folder;
  if (!options.out.empty()) {
    folder.emplace(options.out);
    for (std::size_t i = 0; i < batch.edges.size() && !options.no_pictures; ++i) {
      progress.report("drawing", static_cast<double>(i) / static_cast<double>(batch.edges.size()));
      const std::string stem = file_stem(job.operations[batch.edges[i].operation].name);
      save_drawing(*folder, fmt::format("{}-{}-batch", i + 1, stem),
                   render::draw_batch({job, batch, batch.edges[i]}), io::InUnits(job.inch));
    }
    const auto pictures = folder->names();
    folder->write("batch.json", io::batch_json(job, batch, pictures));
    folder->write("batch.txt", text);
    check_interrupt();
    folder->commit();
  }
  progress.clear();
  fmt::print("{}", text);
  if (folder) fmt::print("\nIn {}: {}\n", options.out, fmt::join(folder->names(), ", "));
}

}  // namespace

void add_batch(CLI::App& app) {
  const auto options = std::make_shared<BatchCommand>();
  CLI::App* command =
      app.add_subcommand("batch", "draw a batch of parts: how edges spread, sanding, when to look");
  command->add_option("scene", options->scene, "the scene, a TOML file")->required();
  command->add_option("-n,--parts", options->parts, "parts in a batch; the shop's own when left out")
      ->check(CLI::Range(1, 100'000));
  command->add_option("--seed", options->seed, "the same seed gives the same batch")->capture_default_str();
  command->add_option("--out", options->out, "folder for batch.json, batch.txt and the pictures");
  command->add_option("--threads", options->threads, "threads to use; 0 for all")
      ->check(CLI::Range(0, 1024))
      ->capture_default_str();
  command->add_flag("--no-pictures", options->no_pictures, "leave the pictures away");
  command->callback([options] { run_batch(*options); });
}

}  // namespace ovolo::cli
