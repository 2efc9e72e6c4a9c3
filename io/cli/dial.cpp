#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>

#include "io/cli/commands.hpp"
#include "io/cli/picture_files.hpp"
#include "io/cli/run.hpp"
#include "io/cli/terminal.hpp"
#include "io/error.hpp"
#include "io/file.hpp"
#include "io/output_folder.hpp"
#include "io/report/dial.hpp"
#include "io/scene/rewrite.hpp"
#include "io/scene/scene.hpp"
#include "render/window_map.hpp"
#include "sim/advise/dial.hpp"
#include "sim/advise/dial_map.hpp"

namespace ovolo::cli {
namespace {

struct DialOptions {
  std::string scene, out, write;
  bool no_pictures = false;
};

// The scene with the settings found, as text that reads again from where it is to stand.
std::string rewritten(const DialOptions& options, const Job& job, const std::vector<DialedEdge>& dialed) {
  std::vector<io::NewSetting> settings;
  for (const DialedEdge& d : dialed)
    if (d.unanswered.empty() && job.operations[d.operation].kind == OperationKind::edge)
      settings.push_back({d.operation, d.depth, d.offset});
  if (settings.empty())
    throw io::WriteError(fmt::format(
        "{}: there is nothing to write: no edge operation has a setting to change (what a program "
        "cuts stands in the program)",
        options.write));
  const std::string text = io::with_settings(io::read_file(options.scene), options.scene, settings);
  try {
    io::parse_scene(text, options.write, std::filesystem::path(options.write).parent_path());
  } catch (const io::SceneError& e) {
    throw io::WriteError(
        fmt::format("{}: with the new settings the scene would not read there; write it beside the old one, "
                    "or mend this:\n{}",
                    options.write, e.what()));
  }
  return text;
}

void run_dial(const DialOptions& options) {
  TerminalProgress progress;
  if (!options.write.empty() && std::filesystem::exists(options.write))
    throw io::WriteError(
        fmt::format("{}: is there already; name another file, or move it away", options.write));
  const Prepared scene = prepare(options.scene);
  const Job& job = scene.job;
  const std::vector<DialedEdge> dialed = with_places(job, [&] { return dial(job, job.errors, &progress); });
  const std::string text = io::dial_text(job, dialed, job.errors);
  std::optional<io::OutputFolder> folder;
  if (!options.out.empty()) {
    folder.emplace(options.out);
    for (std::size_t i = 0; i < dialed.size() && !options.no_pictures; ++i) {
      const DialedEdge& d = dialed[i];
      if (!d.unanswered.empty()) continue;
      progress.report("drawing", static_cast<double>(i) / static_cast<double>(dialed.size()));
      const Operation& op = job.operations[d.operation];
      const DialMap map = make_dial_map(job, d, job.errors);
      save_drawing(*folder, fmt::format("{}-{}-window", i + 1, file_stem(op.name)),
                   render::draw_window_map({map, d, op.name, job.bits[op.bit].id, job.inch}),
                   io::InUnits(job.inch));
    }
    const auto pictures = folder->names();
    folder->write("dial.json", io::dial_json(job, dialed, job.errors, pictures));
    folder->write("dial.txt", text);
  }
  check_interrupt();
  const std::string scene_text = options.write.empty() ? "" : rewritten(options, job, dialed);
  if (folder) folder->commit();
  if (!options.write.empty()) io::write_file(options.write, scene_text);
  progress.clear();
  fmt::print("{}", text);
  if (folder) fmt::print("\nIn {}: {}\n", options.out, fmt::join(folder->names(), ", "));
  if (options.write.empty()) return;
  const bool hopeless =
      std::any_of(dialed.begin(), dialed.end(), [](const DialedEdge& d) { return !d.set_aside.empty(); });
  fmt::print("\nwrote {}: the scene with these settings{}\n", options.write,
             hopeless ? "; NOT a good edge yet: see what no setting meets, above" : "");
}

}  // namespace

void add_dial(CLI::App& app) {
  const auto options = std::make_shared<DialOptions>();
  CLI::App* command =
      app.add_subcommand("dial", "find the depth and offset that are the most likely to meet the wishes");
  command->add_option("scene", options->scene, "the scene, a TOML file")->required();
  command->add_option("--out", options->out, "folder for dial.json, dial.txt and a map for each edge");
  command->add_option("--write", options->write, "a new scene with the settings found, comments kept");
  command->add_flag("--no-pictures", options->no_pictures, "leave the maps away");
  command->callback([options] { run_dial(*options); });
}

}  // namespace ovolo::cli
