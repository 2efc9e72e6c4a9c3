#pragma once

namespace CLI {
class App;
}

namespace ovolo::cli {

// Each adds one subcommand. Its work runs from CLI11's callback and throws what goes wrong; main turns that
// into a message and an exit code.
void add_compare(CLI::App& app);
void add_bits(CLI::App& app);
void add_cut(CLI::App& app);
void add_batch(CLI::App& app);
void add_dial(CLI::App& app);
void add_fit(CLI::App& app);
void add_wear(CLI::App& app);
void add_new(CLI::App& app);
void add_offset(CLI::App& app);
void add_sand(CLI::App& app);
void add_try(CLI::App& app);

}  // namespace ovolo::cli
