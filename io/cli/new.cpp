#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <filesystem>
#include <memory>

#include "io/cli/commands.hpp"
#include "io/output_folder.hpp"
#include "io/scene/starter.hpp"

namespace ovolo::cli {

void add_new(CLI::App& app) {
  const auto path = std::make_shared<std::string>("scene.toml");
  CLI::App* command = app.add_subcommand("new", "write a starter scene with every key explained");
  command->add_option("file", *path, "the scene to write")->capture_default_str();
  command->callback([path] {
    if (std::filesystem::exists(*path))
      throw io::WriteError(fmt::format("{}: is there already; name another file, or move it away", *path));
    io::write_file(*path, io::starter_scene());
    fmt::print("wrote {}: change it to your sheet, bits and lines, then run\n  ovolo cut {} --out result\n",
               *path, *path);
  });
}

}  // namespace ovolo::cli
