#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>

#include "io/cli/commands.hpp"
#include "io/drawing/write.hpp"
#include "io/in_units.hpp"
#include "io/output_folder.hpp"
#include "io/scene/scene.hpp"
#include "io/text.hpp"
#include "sim/geometry/offset.hpp"

namespace ovolo::cli {
namespace {

/// Where the bit's axis runs: the contour's parallel, `offset` away from the part; none where it vanishes.
std::vector<Contour> axis_line(const Contour& contour, const Operation& op) {
  OffsetOptions how;
  how.join = op.corner == Corner::mitre ? Join::mitre : Join::round;
  switch (op.keep) {
    case Keep::inside:
      return offset_outward(contour, op.offset, how);
    case Keep::outside:
      return offset_outward(contour, -op.offset, how);
    case Keep::left:
      return offset_left(contour, -op.offset, how);
    case Keep::right:
      break;
  }
  return offset_left(contour, op.offset, how);
}

void run(const std::string& scene, const std::string& out) {
  const Job job = io::read_scene(scene);
  const io::InUnits say(job.inch);
  io::OutputFolder folder(out);
  int number = 0;
  for (const Operation& op : job.operations) {
    if (op.kind != OperationKind::edge || op.contour < 0) continue;
    const NamedContour& named = job.contours[static_cast<std::size_t>(op.contour)];
    std::vector<io::DrawnLine> lines;
    double length = 0;
    int contours = 0, axes = 0;
    // "axis", then "axis-2" and so on: a name is an id or a layer, and each line has its own.
    const auto add = [&](const Contour& line, const std::string& name, int& count) {
      lines.push_back(io::line_of(line, ++count == 1 ? name : fmt::format("{}-{}", name, count)));
    };
    for (const Vec2 at : named.at) {
      const Contour contour = named.contour.translated(at);
      add(contour, "contour", contours);
      for (const Contour& axis : axis_line(contour, op)) {
        add(axis, "axis", axes);
        length += axis.length();
      }
    }
    const std::string name = fmt::format("edge-{}", ++number);
    folder.write(name + ".dxf", io::write_dxf(lines));
    folder.write(name + ".svg", io::write_svg(lines));
    fmt::print("{}: '{}', offset {} of the axis off the contour '{}', {} long\n", name, io::shown(op.name),
               say.both(op.offset), io::shown(named.id), say.both(length, 1));
  }
  if (number == 0)
    throw io::SceneError({scene, 0, 0}, "the scene has no edge operation, so no offset contour to write");
  folder.commit();
  fmt::print("In {}: the contour and the line of the bit's axis of each edge, as DXF and SVG, drawn in mm\n",
             folder.target().string());
}

}  // namespace

void add_offset(CLI::App& app) {
  auto scene = std::make_shared<std::string>();
  auto out = std::make_shared<std::string>();
  CLI::App* command =
      app.add_subcommand("offset", "write each edge's contour and the line of the bit's axis as drawings");
  command->add_option("SCENE", *scene, "a scene (TOML)")->required();
  command->add_option("--out", *out, "the folder for the drawings")->required();
  command->callback([scene, out] { run(*scene, *out); });
}

}  // namespace ovolo::cli
