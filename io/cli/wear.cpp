#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <optional>
#include <string>

#include "io/cli/commands.hpp"
#include "io/cli/picture_files.hpp"
#include "io/cli/run.hpp"
#include "io/date.hpp"
#include "io/in_units.hpp"
#include "io/output_folder.hpp"
#include "io/report/dial.hpp"
#include "io/scene/scene.hpp"
#include "render/wear_plot.hpp"
#include "sim/advise/edge_case.hpp"
#include "sim/advise/wear.hpp"
#include "sim/error.hpp"

namespace ovolo::cli {
namespace {

struct WearOptions {
  std::string scene, out;
};

std::optional<double> as_days(const std::string& date) {
  const auto days = io::days_of(date);
  return days ? std::optional<double>(*days) : std::nullopt;
}

// By metres when every reading of the working depth tells them, else by days.
std::vector<WearReading> readings_of(const Bit& bit, bool& by_run) {
  std::vector<WearReading> out;
  by_run = true;
  for (const BitReading& r : bit.readings)
    if (r.what == "working_depth") by_run = by_run && r.run.has_value();
  for (const BitReading& r : bit.readings) {
    if (r.what != "working_depth") continue;
    const std::optional<double> at = by_run ? r.run : as_days(r.date);
    if (at) out.push_back({*at, r.value, r.error, r.date});
  }
  return out;
}

std::string when(const render::WearPlot& plot, const std::optional<double>& at) {
  return at ? render::place_text(plot, *at) : "a day these readings cannot tell";
}

std::string wear_text(io::InUnits say, const render::WearPlot& plot) {
  const Wear& wear = plot.wear;
  const double per = plot.by_run ? 100 : 30;
  std::string out =
      fmt::format("  working depth {} +-{} at the last of {} readings; it loses {} +-{} in {}\n",
                  say.both(wear.depth_now), say.length(1.96 * wear.depth_now_error), wear.readings.size(),
                  say.number(wear.loss * per), say.length(1.96 * wear.loss_error * per),
                  plot.by_run ? say.way(100) + " of edge" : "30 days");
  if (wear.chance < 0.01)
    out += fmt::format(
        "  the readings scatter more than their errors let expect (by chance alone in {} of cases): the wear "
        "is "
        "not even\n",
        io::percent_text(wear.chance));
  if (!plot.limit)
    return out +
           "  these settings are outside the wishes already, or no wear brings them there: run `ovolo "
           "dial`\n";
  out += fmt::format("  the edge leaves its wishes ({}) when the bit works less than {} deep: {}\n",
                     name_of(plot.limit->breaks), say.both(plot.limit->working_depth),
                     when(plot, plot.reach.likely));
  return out + fmt::format("    with 95 %: not before {}; {}\n", when(plot, plot.reach.earliest),
                           plot.reach.latest ? "at the latest " + when(plot, plot.reach.latest)
                                             : "how late it may be, these readings cannot tell");
}

void run_wear(const WearOptions& options) {
  const Job job = io::read_scene(options.scene);
  const io::InUnits say(job.inch);
  std::optional<io::OutputFolder> folder;
  if (!options.out.empty()) folder.emplace(options.out);
  std::string text = fmt::format("{}: wear of the bits\n", job.title);
  int number = 0;
  for (std::uint32_t i = 0; i < job.operations.size(); ++i) {
    const Operation& op = job.operations[i];
    if (op.kind != OperationKind::edge || !job.bits[op.bit].roundover) continue;
    ++number;
    const Bit& bit = job.bits[op.bit];
    text += fmt::format("\n{}  (bit '{}', depth {}, offset {})\n", op.name, bit.id, say.both(op.depth),
                        say.both(op.offset));
    bool by_run = false;
    const std::vector<WearReading> readings = readings_of(bit, by_run);
    Wear wear;
    try {
      wear = fit_wear(readings);
    } catch (const JobError& e) {
      text += fmt::format(
          "  {}: keep its dated readings with the bit, such as\n"
          "    readings = [ {{ what = \"working_depth\", value = \"{}\", date = 2026-05-02, run = 120 }} ]\n"
          "  (run: the metres of edge it had cut by then, if you count them; `ovolo fit --bits FILE` adds "
          "such a "
          "line)\n",
          e.what(), say.length(bit.working_depth));
      continue;
    }
    render::WearPlot plot{wear, bit.id, op.name, by_run, std::nullopt, {}, job.inch};
    plot.limit = with_places(job, [&] { return wear_limit(EdgeCase::of(job, i), op.depth, op.offset); });
    if (plot.limit) plot.reach = wear.reaches(plot.limit->working_depth);
    text += wear_text(say, plot);
    if (folder)
      save_drawing(*folder, fmt::format("{}-{}-wear", number, file_stem(bit.id)), render::draw_wear(plot),
                   say);
  }
  if (number == 0) text += "\nthe scene has no edge operation with a point-cutting roundover\n";
  if (folder) {
    folder->write("wear.txt", text);
    folder->commit();
  }
  fmt::print("{}", text);
  if (folder) fmt::print("\nIn {}: {}\n", options.out, fmt::join(folder->names(), ", "));
}

}  // namespace

void add_wear(CLI::App& app) {
  const auto options = std::make_shared<WearOptions>();
  CLI::App* command =
      app.add_subcommand("wear", "from a bit's dated readings: when it will leave the window");
  command->add_option("scene", options->scene, "the scene, a TOML file")->required();
  command->add_option("--out", options->out, "folder for the pictures and wear.txt");
  command->callback([options] { run_wear(*options); });
}

}  // namespace ovolo::cli
