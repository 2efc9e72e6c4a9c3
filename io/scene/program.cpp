#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>

#include "io/program/path_builder.hpp"
#include "io/program/read.hpp"
#include "io/program/value.hpp"
#include "io/scene/named.hpp"
#include "io/scene/parts.hpp"
#include "io/text.hpp"
#include "sim/path/program_report.hpp"

namespace ovolo::io {
namespace {

constexpr int kMostTools = 99999;
constexpr std::size_t kMostMessages = 100;
constexpr std::array<std::string_view, 2> kZeros{"face", "spoilboard"};
constexpr std::array<std::string_view, 2> kUnits{"mm", "inch"};
constexpr std::array<std::string_view, 9> kSystems{"zero", "g55",   "g56",   "g57",  "g58",
                                                   "g59",  "g59_1", "g59_2", "g59_3"};

/// What a program operation says before its program is run.
struct Setting {
  ProgramPlacement placement;
  ProgramOptions options;
};

std::optional<Point3> read_point3(Table& table, std::string_view key) {
  const Node* node = table.any(key, "", Need::no);
  if (!node) return {};
  const auto* list = read_list(*node, table.called(key), "lengths", 3, table.reading());
  if (!list) return {};
  if (list->size() != 3) {
    table.fault(key,
                fmt::format("{} has {} lengths; write three: [x, y, z]", table.called(key), list->size()));
    return {};
  }
  Point3 point{};
  for (std::size_t i = 0; i < 3; ++i) {
    const auto length = read_length((*list)[i], fmt::format("{} in {}", "xyz"[i], table.called(key)),
                                    Range::any(), table.reading());
    if (!length) return {};
    point[i] = *length;
  }
  return point;
}

// A key that is a whole number in [1, most]; records a fault when it is not.
std::optional<int> number_key(const Entry& entry, const std::string& what, int most, Reading& reading) {
  int number = 0;
  const char* end = entry.key.data() + entry.key.size();
  const auto read = std::from_chars(entry.key.data(), end, number);
  if (read.ec == std::errc() && read.ptr == end && number >= 1 && number <= most) return number;
  reading.fault(entry.at, fmt::format("`{}` in {} should be a whole number from 1 to {}", shown(entry.key),
                                      what, most));
  return {};
}

// One tool: a bit's name, or a table with it.
void read_tool(const Entry& entry, const std::string& owner, const Job& job, Setting& out, Reading& reading) {
  const auto number = number_key(entry, "the tools of " + owner, kMostTools, reading);
  if (!number) return;
  ProgramTool tool;
  std::optional<std::size_t> bit;
  const std::string name = fmt::format("tool {} of {}", *number, owner);
  if (const auto* text = std::get_if<std::string>(&entry.value.value)) {
    for (std::size_t i = 0; i < job.bits.size(); ++i)
      if (job.bits[i].id == *text) bit = i;
    if (!bit && !job.bits.empty()) reading.fault(entry.value.at, unknown("bit", *text, ids(job.bits)));
  } else if (entry.value.is_table()) {
    Table table(entry.value, name, reading);
    bit = find_named(table, "bit", job.bits);
    tool.length = table.length("length", Range::positive());
    tool.diameter = table.length("diameter", Range::any());
    table.finish();
  } else {
    reading.fault(entry.value.at,
                  fmt::format("{} is {}; write the name of a bit, or {{ bit = \"round5\", length = 52.4, "
                              "diameter = 0.8 }}",
                              name, entry.value.kind_name()));
  }
  if (!bit) return;
  const Bit& found = job.bits[*bit];
  // The one diameter of a straight bit; a form's is the programmer's choice.
  if (!tool.diameter && found.form == "straight" && !found.profile.pieces().empty())
    tool.diameter = 2 * found.profile.cutting_radius();
  out.options.tools[*number] = tool;
  out.placement.bits[*number] = static_cast<std::uint32_t>(*bit);
}

void read_tools(Table& table, const Job& job, Setting& out) {
  const Node* node = table.table("tools", "tools = { 1 = \"round5\" }", Need::yes);
  if (!node) return;
  for (const Entry& entry : node->entries()) read_tool(entry, table.name(), job, out, table.reading());
  if (node->entries().empty())
    table.fault("tools", fmt::format("{} is empty; say which bit each tool number is: {{ 1 = \"round5\" }}",
                                     table.called("tools")));
  const auto tool = table.count("in_spindle", 0, kMostTools);
  const auto& bits = out.placement.bits;
  if (tool && *tool != 0 && !bits.contains(static_cast<int>(*tool)))
    table.fault("in_spindle",
                fmt::format("{} is {}, which is none of the operation's tools; add it to `tools`",
                            table.called("in_spindle"), *tool));
  out.options.first_tool = tool ? static_cast<int>(*tool) : bits.size() == 1 ? bits.begin()->first : 0;
}

void read_machine_zeros(Table& operation, ProgramOptions& options) {
  const Node* node = operation.table("machine_coordinates", "machine_coordinates = { zero = [x, y, z] }");
  if (!node) return;
  Table table(*node, "the machine coordinates of " + operation.name(), operation.reading());
  for (std::size_t i = 0; i < kSystems.size(); ++i) options.systems[i] = read_point3(table, kSystems[i]);
  options.home = read_point3(table, "home").value_or(Point3{});
  options.second_home = read_point3(table, "second_home").value_or(Point3{});
  table.finish();
  if (!table.has("zero"))
    operation.fault("machine_coordinates",
                    fmt::format("`zero` is missing in {}; add where the program's zero (G54) lies in "
                                "machine coordinates: zero = [x, y, z]",
                                table.name()));
}

void read_parameters(Table& table, ProgramOptions& options) {
  const Node* node = table.table("parameters", "parameters = { 100 = 3.55 }");
  if (!node) return;
  const std::string what = table.called("parameters");
  for (const Entry& entry : node->entries()) {
    const auto number = number_key(entry, what, kMaxParameter, table.reading());
    const auto value = read_number(entry.value, fmt::format("#{} of {}", shown(entry.key), table.name()),
                                   {-1e15, 1e15, false}, table.reading());
    if (!number || !value) continue;
    if (is_machine_parameter(*number))
      table.reading().fault(entry.at,
                            fmt::format("parameter {} belongs to the machine's coordinates; set it through "
                                        "`machine_coordinates`",
                                        *number));
    options.parameters[*number] = *value;
  }
}

// Which of the tools' bits the edge is measured for.
void read_edge(Table& table, const Setting& setting, const Job& job, Operation& op) {
  if (const auto contour = find_named(table, "contour", job.contours, Need::no))
    op.contour = static_cast<std::int32_t>(*contour);
  const auto bit = find_named(table, "bit", job.bits, Need::no);
  const auto& bits = setting.placement.bits;
  if (bits.empty()) return;
  op.bit = bit ? static_cast<std::uint32_t>(*bit) : bits.begin()->second;
  const bool mapped =
      std::any_of(bits.begin(), bits.end(), [&](const auto& b) { return b.second == op.bit; });
  if (bit && !mapped)
    table.fault("bit", fmt::format("{} is none of the operation's tools; name the one that makes the edge",
                                   table.called("bit")));
  const bool many = std::any_of(bits.begin(), bits.end(), [&](const auto& b) { return b.second != op.bit; });
  if (!table.has("bit") && many && op.contour >= 0)
    table.fault("contour", fmt::format("{} has several tools; add which one makes the edge: bit = \"{}\"",
                                       table.name(), shown(job.bits[op.bit].id)));
}

void note(Operation& op, const ProgramNotes& found, const PathBuilder& built) {
  for (const Warning& w : found.warnings) op.remarks.push_back({w.code, w.text, w.source});
  for (const std::string& use : found.extensions) op.notes.push_back("beyond NISTIR 6556: " + use);
  op.notes.insert(op.notes.end(), found.assumptions.begin(), found.assumptions.end());
  for (const ProgramNotes::Message& message : found.messages) {
    if (op.notes.size() > kMostMessages) break;
    op.notes.push_back(fmt::format("line {} tells the operator: {}", message.line, shown(message.text)));
  }
  if (found.deleted_lines)
    op.notes.push_back(fmt::format("{} lines begin with a slash and were left out", found.deleted_lines));
  if (built.vertical_arcs())
    op.notes.push_back(fmt::format("{} arcs in a vertical plane became straight lines within {} mm",
                                   built.vertical_arcs(), kChordTolerance));
  if (built.empty_rapids())
    op.notes.push_back(fmt::format("{} rapids with an empty spindle were left out", built.empty_rapids()));
  if (built.hand_retracts())
    op.notes.push_back(
        fmt::format("the operator retracts the spindle by hand {} times (G88), taken as straight up",
                    built.hand_retracts()));
  if (built.dwell_seconds() > 0)
    op.notes.push_back(fmt::format("dwells {:.1f} s in all", built.dwell_seconds()));
}

}  // namespace

void read_program_operation(Table& table, Operation& op, const Job& job) {
  Setting setting;
  const auto name = table.text("program", Need::yes);
  read_tools(table, job, setting);
  const auto place = table.point("place", Range::any(), Need::yes);
  const auto zero = table.choice("zero", kZeros, Need::yes);
  setting.placement.at = op.program_zero = place.value_or(Vec2{});
  setting.placement.zero = zero && *zero == 1 ? -job.stock.thickness() : 0;
  const auto units = table.choice("units", kUnits);
  setting.options.inch = units ? *units == 1 : job.inch;
  setting.options.skip_deleted = table.flag("block_delete").value_or(false);
  setting.options.start = read_point3(table, "start");
  read_machine_zeros(table, setting.options);
  read_parameters(table, setting.options);
  read_edge(table, setting, job, op);
  // What the program does is worth telling only where all of that is known.
  if (table.reading().faulty() || !name) return;
  op.program_file = (table.reading().folder / *name).string();
  PathBuilder builder(setting.placement, setting.options.limits);
  try {
    const std::string* text = table.reading().text_of(op.program_file);
    note(op,
         text ? read_program(*text, op.program_file, setting.options, builder)
              : read_program_file(op.program_file, setting.options, builder),
         builder);
  } catch (const SceneError& e) {
    // What is wrong within the program is told at its own place, a file that cannot be read at the scene's.
    if (e.faults().front().source.line > 0)
      table.reading().adopt(e.faults());
    else
      table.fault("program", fmt::format("{}: {}", table.called("program"), e.what()));
    return;
  }
  op.program = builder.take();
}

void set_program_path(Operation& op, const Job& job) {
  if (op.program.empty() || op.contour < 0) return;
  const NamedContour& named = job.contours[static_cast<std::size_t>(op.contour)];
  const double radius = job.bits[op.bit].profile.cutting_radius();
  std::optional<ProgramPathReport> path;
  for (const Vec2 shift : named.at) {
    path = report_program_path(op.program, op.bit, radius, named.contour.translated(shift), op.keep);
    if (path) break;
  }
  if (!path) {
    op.remarks.push_back(
        {"program-misses-contour",
         fmt::format("bit `{}` never passes the contour `{}` below the face: check the program's place, "
                     "its units and where Z0 lies",
                     shown(job.bits[op.bit].id), shown(named.id)),
         {op.program_file, 1, 1}});
    return;
  }
  op.depth = path->depth.max;
  op.offset = path->offset.mean;
  op.passes = {op.depth};
  const auto deepest = std::find_if(op.program.begin(), op.program.end(), [&](const ProgramMotion& m) {
    return m.line == path->depth.max_line && m.bit == op.bit && !m.rapid;
  });
  op.feed = deepest->feed;
  op.spindle = deepest->spindle_on ? deepest->spindle : 0;
}

}  // namespace ovolo::io
