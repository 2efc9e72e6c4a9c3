#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>

#include "io/advise/measured.hpp"
#include "io/bits/add_readings.hpp"
#include "io/bits/bits_file.hpp"
#include "io/cli/commands.hpp"
#include "io/cli/run.hpp"
#include "io/date.hpp"
#include "io/error.hpp"
#include "io/file.hpp"
#include "io/output_folder.hpp"
#include "io/report/fit.hpp"
#include "io/scene/scene.hpp"
#include "io/text.hpp"
#include "sim/advise/dial.hpp"
#include "sim/advise/fit.hpp"
#include "sim/bit/forms.hpp"

namespace ovolo::cli {
namespace {

struct FitOptions {
  std::string scene, operation, out, bits, date;
  std::vector<std::string> measured;
  double run = -1;
  bool cuts_only = false;
};

// The edge operation whose bit is fitted: the one named, else the first with a point-cutting roundover.
std::uint32_t chosen(const Job& job, const std::string& name) {
  std::string known;
  for (std::uint32_t i = 0; i < job.operations.size(); ++i) {
    const Operation& op = job.operations[i];
    if (op.kind != OperationKind::edge) continue;
    known += (known.empty() ? "" : ", ") + op.name;
    const bool fits = job.bits[op.bit].roundover.has_value();
    if (name.empty() ? !fits : op.name != name) continue;
    if (fits) return i;
    throw io::SceneError(
        op.source, fmt::format("'{}' runs the bit '{}', which is no point-cutting roundover: there is no "
                               "working depth to fit",
                               op.name, job.bits[op.bit].id));
  }
  if (!name.empty())
    throw CLI::ValidationError("--operation",
                               fmt::format("the scene has no edge operation '{}'; it has: {}", name, known));
  throw io::SceneError(Source{job.file, 0, 0},
                       "the scene has no edge operation with a point-cutting roundover to fit");
}

std::vector<TestCut> read_cuts(const FitOptions& options, const Job& job, const Operation& op, double error) {
  const io::MeasuredDefaults defaults{job.inch ? io::Units::inch : io::Units::mm, op.depth, op.offset, error};
  std::vector<TestCut> cuts;
  for (const std::string& text : options.measured) {
    if (text.ends_with(".toml")) {
      for (TestCut& cut : io::read_measured(text, defaults)) cuts.push_back(std::move(cut));
      continue;
    }
    TestCut cut = io::parse_measured(text, "--measured", defaults);
    if (cut.name.empty())
      cut.name = options.measured.size() == 1 ? "the cut" : fmt::format("cut {}", cuts.size() + 1);
    cuts.push_back(std::move(cut));
  }
  return cuts;
}

FitKnown known_of(const Job& job, const Bit& bit, bool cuts_only) {
  FitKnown known;
  known.bit = bit.roundover->readings;
  if (job.errors.readings) {
    known.bit.error = *job.errors.readings;
    known.bit.working_depth_error = known.bit.tip_flat_error = known.bit.cutting_diameter_error = {};
  }
  if (cuts_only) {
    known.bit.working_depth.reset();
    known.bit.tip_flat.reset();
    known.bit.cutting_diameter.reset();
  }
  known.z = job.errors.depth();
  known.xy = job.errors.xy;
  if (job.stock.layers.size() > 1) known.line = job.stock.layers.front().thickness;
  return known;
}

// The bit as it was found, in place of the scene's.
void put_in(const Fit& fit, const RoundoverReadings& read, const Stock& stock, Bit& bit) {
  Roundover found = fit.bit;
  found.readings = read;
  found.readings.working_depth = fit.working_depth.value;
  found.readings.working_depth_error = fit.working_depth.error;
  found.readings.tip_flat = fit.tip_flat.value;
  found.readings.tip_flat_error = fit.tip_flat.error;
  found.readings.cutting_diameter.reset();
  bit.roundover = found;
  bit.profile = point_roundover(found, stock.thickness() + stock.spoilboard);
  bit.working_depth = found.working_depth;
}

void add_to_bits_file(const FitOptions& options, const Job& job, const Bit& bit, const Fit& fit) {
  const std::string date = options.date.empty() ? io::today() : options.date;
  std::optional<double> run;
  if (options.run >= 0) run = options.run;
  const std::vector<BitReading> readings{
      {"working_depth", fit.working_depth.value, fit.working_depth.error, date, run},
      {"tip_flat", fit.tip_flat.value, fit.tip_flat.error, date, run}};
  const bool is_new = !std::filesystem::exists(options.bits);
  const std::string before = is_new ? io::new_bits_file(bit) : io::read_file(options.bits);
  const std::string text = io::with_readings(before, options.bits, bit.id, readings);
  io::parse_bits(text, options.bits, std::filesystem::path(options.bits).parent_path(), job.stock);
  io::write_file(options.bits, text);
  fmt::print("\n{} {}: working depth and tip flat of '{}', {}\n", is_new ? "wrote" : "added to", options.bits,
             bit.id, date);
  if (is_new)
    fmt::print(
        "to use it, write bits_file = \"{}\" at the top of the scene (the path as seen from there) and "
        "remove its "
        "[bits.{}]\n",
        options.bits, bit.id);
}

void run_fit(const FitOptions& options) {
  if (!options.date.empty() && !io::days_of(options.date))
    throw CLI::ValidationError(
        "--date", fmt::format("'{}' is no date; write it as 2026-05-02", io::shown(options.date)));
  Job job = io::read_scene(options.scene);
  const std::uint32_t operation = chosen(job, options.operation);
  const Operation& op = job.operations[operation];
  Bit& bit = job.bits[op.bit];
  const FitKnown known = known_of(job, bit, options.cuts_only);
  const std::vector<TestCut> cuts = read_cuts(options, job, op, known.bit.error);
  const Fit fit = with_places(job, [&] { return fit_cuts(known, cuts); });

  put_in(fit, known.bit, job.stock, bit);
  SettingErrors errors = job.errors;
  errors.readings.reset();
  errors.runout = 0;  // it is in the tip flat already
  const DialedEdge dialed = dial_edge(job, operation, errors);
  const io::FitReport report{job, operation, known, cuts, fit, dialed};
  const std::string text = io::fit_text(report);
  if (!options.out.empty()) {
    io::OutputFolder folder(options.out);
    folder.write("fit.json", io::fit_json(report));
    folder.write("fit.txt", text);
    folder.commit();
  }
  fmt::print("{}", text);
  // Such numbers would be believed by every scene that names the file.
  if (!options.bits.empty() && !fit.contradictions.empty())
    throw io::WriteError(
        fmt::format("{}: nothing is added to it, for the readings contradict each other (see above); read "
                    "again, or leave the wrong reading out",
                    options.bits));
  if (!options.bits.empty()) add_to_bits_file(options, job, bit, fit);
}

}  // namespace

void add_fit(CLI::App& app) {
  const auto options = std::make_shared<FitOptions>();
  CLI::App* command =
      app.add_subcommand("fit", "deduce a bit's working depth and tip flat, and the Z error, from test cuts");
  command->add_option("scene", options->scene, "the scene, a TOML file")->required();
  command
      ->add_option("--measured", options->measured,
                   "one cut: \"depth = 5, offset = 0, lip = 1.38 +- 0.02, band = 0.19, foot = 5, width = "
                   "4.8\"; depth and "
                   "offset are the scene's when left out. Or a TOML file with [[cuts]]. May be given again")
      ->required();
  command->add_option("--operation", options->operation,
                      "the edge operation whose bit it is; the first when left out");
  command->add_flag("--cuts-only", options->cuts_only, "leave the bit's own caliper readings out of it");
  command->add_option("--out", options->out, "folder for fit.json and fit.txt");
  command->add_option("--bits", options->bits,
                      "bits file to add the result to, as dated readings; a new one where there is none");
  command->add_option("--date", options->date, "their date, such as 2026-05-02; today when left out");
  command->add_option("--run", options->run, "metres of edge the bit had cut by then")
      ->check(CLI::NonNegativeNumber);
  command->callback([options] { run_fit(*options); });
}

}  // namespace ovolo::cli
