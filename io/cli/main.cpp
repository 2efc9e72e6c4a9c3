#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <exception>
#include <new>
#include <string>
#include <vector>

#include "io/cli/commands.hpp"
#include "io/cli/run.hpp"
#include "io/cli/terminal.hpp"
#include "io/error.hpp"
#include "io/output_folder.hpp"
#include "io/scene/suggest.hpp"
#include "io/version.hpp"
#include "sim/error.hpp"

#ifdef __GLIBC__
#include <malloc.h>
#endif

namespace {

// Exit codes are part of the contract: other programs read them.
constexpr int kDone = 0, kSceneWrong = 1, kCommandWrong = 2, kNotWritten = 3, kInterrupted = 130;

// A first word that is no command, with the one that was probably meant; CLI11 would only ask for a command.
void check_command(const CLI::App& app, int argc, char** argv) {
  if (argc < 2 || argv[1][0] == '-') return;
  std::vector<std::string> known;
  for (const CLI::App* command : app.get_subcommands(nullptr)) known.push_back(command->get_name());
  if (std::find(known.begin(), known.end(), argv[1]) == known.end())
    throw CLI::ExtrasError(ovolo::io::unknown("command", argv[1], known, ""), CLI::ExitCodes::ExtrasError);
}

// Pictures take and free buffers of some megabytes by the dozen. Fresh pages from the system each time cost a
// tenth of a whole `cut`; what is freed is kept for the next instead, up to 256 MiB.
void keep_freed_memory() {
#ifdef __GLIBC__
  mallopt(M_MMAP_THRESHOLD, 32 << 20);
  mallopt(M_TRIM_THRESHOLD, 256 << 20);
#endif
}

int complain(int code, const std::string& text) {
  fmt::print(stderr, "{}{}", text, text.ends_with('\n') ? "" : "\n");
  return code;
}

}  // namespace

int main(int argc, char** argv) {
  keep_freed_memory();
  CLI::App app{"ovolo: proves an edge before it is cut"};
  app.set_version_flag("--version", "ovolo " + ovolo::io::version());
  app.require_subcommand(1);
  app.footer("Run 'ovolo new' for a starter scene, then 'ovolo cut SCENE.toml --out DIR'.");
  ovolo::cli::add_cut(app);
  ovolo::cli::add_bits(app);
  ovolo::cli::add_dial(app);
  ovolo::cli::add_fit(app);
  ovolo::cli::add_wear(app);
  ovolo::cli::add_batch(app);
  ovolo::cli::add_offset(app);
  ovolo::cli::add_new(app);
  ovolo::cli::add_compare(app);
  ovolo::cli::add_sand(app);
  ovolo::cli::add_try(app);
  ovolo::cli::catch_interrupts();
  try {
    check_command(app, argc, argv);
    app.parse(argc, argv);
    return kDone;
  } catch (const CLI::ParseError& e) {
    return app.exit(e) == 0 ? kDone : kCommandWrong;
  } catch (const ovolo::io::SceneError& e) {
    return complain(kSceneWrong, e.what());
  } catch (const ovolo::io::WriteError& e) {
    return complain(kNotWritten, e.what());
  } catch (const ovolo::cli::DoesNotFit& e) {
    return complain(kNotWritten, e.what());
  } catch (const ovolo::Interrupted&) {
    return complain(kInterrupted, "interrupted: nothing was written");
  } catch (const std::bad_alloc&) {
    return complain(kNotWritten, "out of memory: set a larger --cell, or close other programs");
  } catch (const std::exception& e) {
    return complain(kSceneWrong, e.what());
  }
}
