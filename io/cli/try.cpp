#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <chrono>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <string>
#include <thread>

#include "io/cli/commands.hpp"
#include "io/cli/quick_close_up.hpp"
#include "io/cli/run.hpp"
#include "io/cli/terminal.hpp"
#include "io/try/server.hpp"
#include "sim/progress.hpp"

namespace ovolo::cli {
namespace {

constexpr int kUsualPort = 8744;

struct TryOptions {
  std::string scene;
  int port = 0;
};

void run_try(const TryOptions& options) {
  // What is wrong with the scene is told here, not in the page.
  prepare(options.scene);
  io::TryServer server(options.scene, quick_close_up, check_interrupt);
  int port = server.bind(options.port > 0 ? options.port : kUsualPort);
  if (port == 0 && options.port == 0) port = server.bind(0);
  if (port == 0)
    throw CLI::ValidationError("--port", fmt::format("port {} is taken; give another one", options.port));
  fmt::print("Open http://127.0.0.1:{}/ in a browser on this machine. Ctrl-C ends.\n", port);
  std::fflush(stdout);

  std::thread serving([&] { server.run(); });
  try {
    for (;;) {
      check_interrupt();
      std::this_thread::sleep_for(std::chrono::milliseconds(50));
    }
  } catch (const Interrupted&) {
    // The usual way to end.
  }
  server.stop();
  serving.join();
  fmt::print("\n");
}

}  // namespace

void add_try(CLI::App& app) {
  const auto options = std::make_shared<TryOptions>();
  CLI::App* command =
      app.add_subcommand("try", "serve a page on this machine that answers as you turn the knobs");
  command->add_option("scene", options->scene, "the scene, a TOML file")->required();
  command
      ->add_option("--port", options->port,
                   fmt::format("port to serve on; without it {}, or a free one", kUsualPort))
      ->check(CLI::Range(1, 65535));
  command->callback([options] { run_try(*options); });
}

}  // namespace ovolo::cli
