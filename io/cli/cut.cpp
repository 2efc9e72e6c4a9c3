#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <chrono>
#include <memory>
#include <optional>
#include <string>

#include "io/cli/commands.hpp"
#include "io/cli/pictures.hpp"
#include "io/cli/run.hpp"
#include "io/cli/solid.hpp"
#include "io/cli/terminal.hpp"
#include "io/output_folder.hpp"
#include "io/report/html.hpp"
#include "io/report/report.hpp"
#include "io/report/shop.hpp"
#include "io/report/unit_doubts.hpp"
#include "sim/carve/carve.hpp"
#include "sim/measure/verdict.hpp"
#include "sim/parallel.hpp"
#include "sim/path/program_checks.hpp"
#include "sim/shop/estimate.hpp"
#include "sim/solid/field_part.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo::cli {
namespace {

constexpr double kVoxel = 0.25;  // mm

struct CutOptions {
  std::string scene, out, cell = "0.1";
  int threads = 0;
  bool cell_told = false, no_pictures = false;
  SolidOptions solid;
};

double seconds_since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

void run_cut(const CutOptions& options) {
  using Clock = std::chrono::steady_clock;
  const double cell = option_length(options.cell, "--cell");
  check(options.solid);
  const ThreadLimit limit(options.threads);
  TerminalProgress progress;
  const Prepared scene = prepare(options.scene);
  io::OutputFolder folder(options.out);

  io::ReportInput report;
  auto start = Clock::now();
  // What undercut bits and turned sheets leave, no heightfield holds.
  std::optional<Heightfield> field;
  RemovedVolume removed;
  std::optional<double> part_volume;
  if (!needs_voxels(scene.job)) {
    CarveOptions carving;
    carving.cell = cell;
    carving.progress = &progress;
    CarveStats stats;
    field =
        with_places(scene.job, [&] { return carve(scene.job, scene.plan, scene.index, carving, &stats); });
    removed = removed_volume(*field, scene.job.stock);
    part_volume = ovolo::part_volume(*field, scene.job.stock, PartWall(scene.job));
    report.timing.cells = stats.cells;
  } else {
    VoxelCarve voxels = carve_voxels(scene, options.cell_told ? cell : kVoxel, &progress);
    removed = std::move(voxels.removed);
    part_volume = voxels.part_volume;
    report.timing.cells = voxels.voxels;
  }
  report.timing.carve = seconds_since(start);

  start = Clock::now();
  MeasureOptions measuring;
  measuring.progress = &progress;
  Measures measures =
      with_places(scene.job, [&] { return measure(scene.job, scene.plan, scene.index, measuring); });
  judge_programs(scene.job, program_warnings(scene.job, scene.plan), measures);
  const ShopEstimate shop =
      with_places(scene.job, [&] { return estimate(scene.job, scene.plan, scene.index, measures); });
  report.timing.measure = seconds_since(start);

  start = Clock::now();
  std::vector<io::EdgeView> views = edge_views(scene, measures);
  if (!options.no_pictures)
    draw_pictures(scene, measures, shop, field ? &*field : nullptr, folder, views, &progress);
  else
    with_places(scene.job, [&] { find_settings(scene, measures, views); });
  for (std::size_t i = 0; i < views.size(); ++i) {
    report.dialed.push_back(views[i].dialed);
    // A bit in the wrong unit comes before any setting of it.
    const Bit& bit = scene.job.bits[scene.job.operations[measures.edges[i].operation].bit];
    const std::string doubt = io::unit_doubt(scene.job, bit);
    const std::string& mend = doubt.empty() ? views[i].cure.text : doubt;
    if (!mend.empty()) set_mend(scene.job, i, mend, measures);
  }
  report.timing.render = seconds_since(start);

  report.pictures = folder.names();
  SolidOptions solids = options.solid;
  solids.voxel = options.cell_told ? cell : kVoxel;
  io::SolidReport solid = write_solids(scene, solids, folder, &progress);
  if (!solid.part_volume) solid.part_volume = part_volume;
  report.solid = &solid;

  report.job = &scene.job;
  report.measures = &measures;
  report.removed = &removed;
  report.shop = &shop;
  const std::string text = io::report_text(report);
  folder.write("report.json", io::report_json(report));
  folder.write("sections.csv", io::sections_csv(scene.job, measures));
  folder.write("loads.csv", io::loads_csv(scene.job, shop));
  folder.write("report.txt", text);
  folder.write("report.html", io::report_html({&report, &scene.plan, &scene.index, std::move(views)}));
  check_interrupt();
  folder.commit();
  progress.clear();
  fmt::print("{}\nIn {}: report.html, report.json, report.txt, sections.csv, loads.csv", text, options.out);
  for (const std::string& name : solid.files) fmt::print(", {}", name);
  for (const std::string& name : report.pictures)
    if (name.ends_with(".png")) fmt::print(", {}", name);
  fmt::print("\n");
}

}  // namespace

void add_cut(CLI::App& app) {
  const auto options = std::make_shared<CutOptions>();
  CLI::App* command = app.add_subcommand("cut", "carve a scene, measure its edges, report and draw them");
  command->add_option("scene", options->scene, "the scene, a TOML file")->required();
  command->add_option("--out", options->out, "folder for the report and the pictures")->required();
  command
      ->add_option("--cell", options->cell,
                   "cell of the heightfield: mm, or text with a unit; measures never depend on it, the "
                   "removed volume hardly")
      ->capture_default_str();
  command->add_option("--threads", options->threads, "threads to use; 0 for all")
      ->check(CLI::Range(0, 1024))
      ->capture_default_str();
  add_solid_options(*command, options->solid);
  command->add_flag("--no-pictures", options->no_pictures, "leave the pictures away");
  command->callback([options, command] {
    options->cell_told = command->count("--cell") > 0;
    run_cut(*options);
  });
}

}  // namespace ovolo::cli
