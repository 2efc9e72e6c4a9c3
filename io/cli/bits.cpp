#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <optional>

#include "io/bits/bits_file.hpp"
#include "io/bits/table.hpp"
#include "io/cli/commands.hpp"
#include "io/drawing/write.hpp"
#include "io/error.hpp"
#include "io/in_units.hpp"
#include "io/length.hpp"
#include "io/output_folder.hpp"
#include "render/bit_plot.hpp"
#include "render/png.hpp"
#include "render/raster.hpp"

namespace ovolo::cli {
namespace {

struct Options {
  std::string file, out, profiles;
  bool inch = false;
};

/// What stands under a bit's drawing.
std::vector<std::string> captions(const io::BitRow& row, bool inch) {
  const auto both = [&](double v, std::optional<double> error = {}) {
    const io::Units units = inch ? io::Units::inch : io::Units::mm;
    const auto number = [&](double x) { return io::format_number(io::from_mm(x, units), inch ? 4 : 3); };
    return fmt::format("{}{} {} ({})", number(v), error ? " ± " + number(*error) : "", inch ? "in" : "mm",
                       inch ? io::format_mm(v) : io::format_inch(v));
  };
  std::string form = row.form;
  std::replace(form.begin(), form.end(), '_', ' ');
  std::vector<std::string> out{row.date.empty() ? form : form + ", read " + row.date};
  if (row.not_read) out.push_back("not read: a full point is assumed");
  if (row.working_depth_error && !row.not_read)
    out.push_back(fmt::format("works {} deep", both(row.working_depth, row.working_depth_error)));
  if (row.tip_flat_error && !row.not_read)
    out.push_back(fmt::format("tip flat {}", both(row.tip_flat, row.tip_flat_error)));
  if (row.depth) {
    out.push_back(fmt::format("best: depth {},", both(*row.depth)));
    out.push_back(fmt::format("offset {}", both(*row.offset)));
  }
  if (row.lost_angle)
    out.push_back(fmt::format("arc lost at the tip {}°",
                              io::format_number(*row.lost_angle * 180 / 3.14159265358979, 1)));
  return out;
}

/// One file name for each bit, letters and digits only, none twice.
std::string file_name(const std::string& id, std::size_t number) {
  std::string name;
  for (const char c : id) {
    const bool keep =
        (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
    name += keep ? c : '_';
  }
  return name == id && !id.empty() && id.size() < 100 ? name
                                                      : fmt::format("{}_{}", name.substr(0, 80), number);
}

void run(const Options& options) {
  Stock stock;  // gives a wall of a bit without a cutting length its height
  stock.layers.push_back({"sheet", 10, {}});
  const io::BitsFile file = io::read_bits_file(options.file, stock);
  const std::vector<Bit>& bits = file.bits;
  const io::InUnits say(file.inch || options.inch);
  std::vector<io::BitRow> rows;
  for (const Bit& bit : bits) rows.push_back(io::bit_row(bit));
  fmt::print("{}", io::bit_table(rows, say.inch()));
  for (const Bit& bit : bits)
    for (const std::string& note : bit.notes) fmt::print("{}: {}\n", bit.id, say.sentence(note));

  if (!options.out.empty()) {
    std::vector<render::BitDrawing> drawings;
    for (std::size_t i = 0; i < bits.size(); ++i) {
      std::vector<std::string> lines = captions(rows[i], say.inch());
      drawings.push_back(
          {bits[i].id, bits[i].profile, bits[i].working_depth, rows[i].tip_flat, std::move(lines)});
    }
    const std::string title = std::filesystem::path(options.file).filename().string();
    const std::string svg = say.sentence(render::bit_plot(drawings, title, say.inch()));
    io::OutputFolder folder(options.out);
    folder.write("bits.svg", svg);
    folder.write("bits.png", render::encode_png(render::rasterize(svg)));
    folder.commit();
    fmt::print("drawn: {}\n", (folder.target() / "bits.png").string());
  }
  if (!options.profiles.empty()) {
    io::OutputFolder folder(options.profiles);
    for (std::size_t i = 0; i < bits.size(); ++i) {
      const std::vector<io::DrawnLine> line{io::line_of(bits[i].profile, bits[i].id)};
      const std::string name = file_name(bits[i].id, i + 1);
      folder.write(name + ".dxf", io::write_dxf(line));
      folder.write(name + ".svg", io::write_svg(line));
    }
    folder.commit();
    fmt::print("half profiles: {} in {}\n", bits.size(), folder.target().string());
  }
}

}  // namespace

void add_bits(CLI::App& app) {
  auto options = std::make_shared<Options>();
  CLI::App* command = app.add_subcommand("bits", "put a shop's bits side by side, with their best settings");
  command->add_option("FILE", options->file, "a bits file (TOML)")->required();
  command->add_option("--out", options->out, "draw them into this folder: bits.svg and bits.png");
  command->add_option("--profiles", options->profiles,
                      "write each half profile into this folder as DXF and SVG");
  command->add_flag("--inch", options->inch, "inches first, as for a file with units = \"inch\"");
  command->callback([options] { run(*options); });
}

}  // namespace ovolo::cli
