#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "io/scene/named.hpp"
#include "io/scene/parts.hpp"
#include "io/scene/suggest.hpp"
#include "io/scene/table.hpp"
#include "io/text.hpp"
#include "sim/error.hpp"
#include "sim/path/turned_sheet.hpp"

namespace ovolo::io {
namespace {

constexpr std::size_t kMostOperations = 1000;
constexpr std::int64_t kMostPasses = 1000;
constexpr std::int64_t kMostTabs = 1000;
constexpr double kMostPieces = 2e6;     // pieces of path in the whole job, of some 200 bytes each
constexpr double kMostTime = 86400;     // s at the machine, a day
constexpr double kTurnTime = 60;        // s to turn a sheet over, a guess
constexpr double kMostSkew = 0.175;     // radians, about 10 degrees
constexpr double kSameDepth = 1e-6;     // mm
constexpr double kRoughStepover = 0.4;  // of the level tip, the usual middle of 40 to 50 percent
constexpr double kFineStepover = 0.1;   // of the diameter, where there is no level tip

constexpr std::array<std::string_view, 5> kKinds{"edge", "pocket", "cut_out", "program", "turn"};
constexpr std::array<std::string_view, 2> kAbouts{"x", "y"};
constexpr std::array<std::string_view, 4> kKeeps{"inside", "outside", "left", "right"};
constexpr std::array<std::string_view, 2> kDirections{"conventional", "climb"};
constexpr std::array<std::string_view, 2> kCorners{"round", "mitre"};

// One operation as it is read: what it refers to is null while it is unknown or faulty itself.
struct Draft {
  Table table;
  Operation op;
  const Bit* bit = nullptr;
  const NamedContour* contour = nullptr;
};

void read_references(Draft& draft, const Job& job) {
  if (const auto bit = find_named(draft.table, "bit", job.bits)) {
    draft.op.bit = static_cast<std::uint32_t>(*bit);
    if (!job.bits[*bit].profile.pieces().empty()) draft.bit = &job.bits[*bit];
  }
  if (const auto contour = find_named(draft.table, "contour", job.contours)) {
    draft.op.contour = static_cast<std::int32_t>(*contour);
    if (!job.contours[*contour].contour.empty()) draft.contour = &job.contours[*contour];
  }
}

// Which side is the part. A pocket's part is what lies around it.
void read_keep(Draft& draft) {
  Table& table = draft.table;
  const bool pocket = draft.op.kind == OperationKind::pocket;
  const auto keep = table.choice("keep", kKeeps, pocket ? Need::no : Need::yes);
  draft.op.keep = keep ? static_cast<Keep>(*keep) : pocket ? Keep::outside : Keep::inside;
  if (!draft.contour) return;
  const bool closed = draft.contour->contour.closed();
  const std::string name = shown(draft.contour->id);
  if (pocket && !closed)
    table.fault("contour", fmt::format("a pocket needs a closed contour, and `{}` is open; close it", name));
  else if (pocket && draft.op.keep != Keep::outside)
    table.fault("keep", "a pocket clears the inside of its contour; remove `keep`, or set it to \"outside\"");
  else if (keep && closed && *keep >= 2)
    table.fault("keep",
                fmt::format("{} is \"{}\", but contour `{}` is closed; set it to \"inside\" or \"outside\"",
                            table.called("keep"), kKeeps[*keep], name));
  else if (keep && !closed && *keep < 2)
    table.fault("keep",
                fmt::format("{} is \"{}\", but contour `{}` is open; set it to \"left\" or \"right\" of its "
                            "travel",
                            table.called("keep"), kKeeps[*keep], name));
}

void read_depth(Draft& draft, const Stock& stock) {
  Table& table = draft.table;
  const Units units = table.reading().units;
  const double thickness = stock.thickness();
  const bool through = draft.op.kind == OperationKind::cut_out;
  const auto depth = table.length("depth", Range::positive(), through ? Need::no : Need::yes);
  draft.op.depth = depth.value_or(through ? thickness : 0);
  if (const double most = thickness + stock.spoilboard; thickness > 0 && draft.op.depth > most + kSameDepth) {
    // A bare number that would do in mm was perhaps meant so.
    const Node* number = table.any("depth", "3.5");
    const bool mm_fit = units == Units::inch && number &&
                        !std::holds_alternative<std::string>(number->value) && draft.op.depth / kInch <= most;
    table.fault(
        "depth",
        fmt::format("{} is {}: deeper than the sheet ({}) and the spoilboard allowance ({}); set it to "
                    "{} or less{}",
                    table.called("depth"), format_length(draft.op.depth, units),
                    format_length(thickness, units), format_length(stock.spoilboard, units),
                    format_length(most, units), mm_fit ? ", or write its unit where mm are meant" : ""));
  }
  const Bit* bit = draft.bit;
  if (!bit || !bit->cutting_length || !bit->shank_diameter) return;
  const double across = 2 * bit->profile.cutting_radius();
  if (draft.op.depth > *bit->cutting_length + kSameDepth && *bit->shank_diameter > across)
    table.fault(
        "depth",
        fmt::format("{} is {}, but bit `{}` cuts only {} deep before its wider shank ({} across); set it "
                    "to {} or less",
                    table.called("depth"), format_length(draft.op.depth, units), shown(bit->id),
                    format_length(*bit->cutting_length, units), format_length(*bit->shank_diameter, units),
                    format_length(*bit->cutting_length, units)));
}

void read_pass_list(Draft& draft, const Node& node) {
  Table& table = draft.table;
  Reading& reading = table.reading();
  const auto* list = read_list(node, table.called("passes"), "depths", kMostPasses, reading);
  if (!list) return;
  if (list->empty())
    table.fault("passes", fmt::format("{} is empty; write [depth], or remove it", table.called("passes")));
  std::vector<double> passes;
  for (const Node& item : *list) {
    const auto pass = read_length(item, "a pass in " + table.called("passes"), Range::positive(), reading);
    if (!pass) return;
    if (!passes.empty() && *pass <= passes.back()) {
      reading.fault(item.at,
                    fmt::format("pass {} is {}, not deeper than the one before ({}); list the passes from "
                                "shallow to deep",
                                passes.size() + 1, format_length(*pass, reading.units),
                                format_length(passes.back(), reading.units)));
      return;
    }
    passes.push_back(*pass);
  }
  const double depth = draft.op.depth;
  if (passes.empty() || depth == 0) return;
  if (std::abs(passes.back() - depth) > kSameDepth) {
    reading.fault(list->back().at, fmt::format("the last pass is {}, but the depth is {}; make them equal",
                                               format_length(passes.back(), reading.units),
                                               format_length(depth, reading.units)));
    return;
  }
  passes.back() = depth;
  draft.op.passes = std::move(passes);
}

// "balanced", or { balanced = 2, finish = 0.2 } or { count = 3, finish = 0.2 }.
void read_split(Draft& draft, const Node& node, PassSplit& split) {
  Table& outer = draft.table;
  if (const auto* text = std::get_if<std::string>(&node.value)) {
    split.count = 2;
    split.balanced = true;
    if (*text != "balanced")
      outer.fault("passes",
                  fmt::format("{} is \"{}\"; write \"balanced\", a count such as 2, or a list of depths",
                              outer.called("passes"), shown(*text)));
    return;
  }
  Table table(node, "the passes of " + outer.name(), outer.reading());
  const auto balanced = table.count("balanced", 1, kMostPasses);
  const auto count = table.count("count", 1, kMostPasses);
  if (table.has("balanced") == table.has("count"))
    outer.fault("passes",
                fmt::format("{} needs `balanced` or `count`: write {{ balanced = 2, finish = 0.2 }}",
                            outer.called("passes")));
  split.balanced = table.has("balanced");
  split.count = static_cast<int>(balanced.value_or(count.value_or(1)));
  if (split.balanced) split.waste = table.flag("waste").value_or(false);
  split.finish = table.length("finish", Range::not_negative()).value_or(0);
  table.finish();
}

void read_passes(Draft& draft) {
  Table& table = draft.table;
  Operation& op = draft.op;
  op.passes = {op.depth};
  const Node* node = table.any("passes", "", Need::no);
  const auto finish = table.length("finish", Range::not_negative());
  if (node && node->is_list()) {
    if (finish) table.fault("finish", "a list of passes has its own last pass; remove `finish`");
    return read_pass_list(draft, *node);
  }
  PassSplit split;
  if (node && (node->is_table() || std::holds_alternative<std::string>(node->value))) {
    read_split(draft, *node, split);
  } else if (node && std::holds_alternative<std::int64_t>(node->value)) {
    const auto count = read_count(*node, table.called("passes"), 1, kMostPasses, table.reading());
    split.count = static_cast<int>(count.value_or(1));
  } else if (node) {
    table.fault("passes",
                fmt::format("{} is {}; write a count such as 2, \"balanced\", or a list of depths such as "
                            "[2.4, 3.55]",
                            table.called("passes"), node->kind_name()));
    return;
  }
  if (finish) split.finish = *finish;
  op.split = split;
  if (op.depth <= 0 || !draft.bit) return;
  try {
    op.passes = split_passes(draft.bit->profile, op.offset, op.depth, split);
  } catch (const JobError& e) {
    table.fault(table.has("passes") ? "passes" : "finish", e.what());
  }
}

// Where a pass begins: a length along the contour, or the contour's place nearest to a point.
void read_start(Draft& draft) {
  Table& table = draft.table;
  const Node* node = table.any("start", "", Need::no);
  if (!node) return;
  if (node->is_list()) {
    const auto point = read_point(*node, table.called("start"), Range::any(), table.reading());
    if (point && draft.contour) draft.op.start = draft.contour->contour.nearest(*point).s;
    return;
  }
  draft.op.start =
      read_length(*node, table.called("start"), Range::not_negative(), table.reading()).value_or(0);
  if (draft.contour && draft.op.start > draft.contour->contour.length())
    table.fault("start",
                fmt::format("{} is {}, but the contour is only {} long; set it to less",
                            table.called("start"), format_length(draft.op.start, table.reading().units),
                            format_length(draft.contour->contour.length(), table.reading().units)));
}

void read_stepover(Draft& draft) {
  Table& table = draft.table;
  const auto stepover = table.length("stepover", Range::positive());
  if (!draft.bit) return;
  const Profile& profile = draft.bit->profile;
  const double across = 2 * profile.cutting_radius(), flat = 2 * profile.tip_flat_radius();
  draft.op.stepover = stepover.value_or(flat > 0 ? kRoughStepover * flat : kFineStepover * across);
  if (draft.op.stepover > across)
    table.fault("stepover",
                fmt::format("{} is {}, wider than the bit ({}): ridges would stay; set it to {} or less",
                            table.called("stepover"), format_length(draft.op.stepover, table.reading().units),
                            format_length(across, table.reading().units),
                            format_length(across, table.reading().units)));
}

void read_tabs(Draft& draft, const Stock& stock) {
  const Node* node = draft.table.table("tabs", "tabs = { count = 4, width = 6, height = 2 }");
  if (!node) return;
  Table table(*node, "the tabs of " + draft.table.name(), draft.table.reading());
  const Units units = table.reading().units;
  Tabs& tabs = draft.op.tabs;
  tabs.count = static_cast<int>(table.count("count", 1, kMostTabs, Need::yes).value_or(0));
  tabs.width = table.length("width", Range::positive(), Need::yes).value_or(0);
  tabs.height = table.length("height", Range::positive(), Need::yes).value_or(0);
  table.finish();
  const double thickness = stock.thickness();
  if (thickness > 0 && tabs.height > thickness)
    table.fault("height",
                fmt::format("{} is {}, more than the sheet's {}; set it to less", table.called("height"),
                            format_length(tabs.height, units), format_length(thickness, units)));
  if (!draft.contour) return;
  const double length = draft.contour->contour.length();
  if (tabs.count * tabs.width >= length)
    table.fault("width",
                fmt::format("{} tabs of {} fill the whole contour ({}); use fewer or narrower ones",
                            tabs.count, format_length(tabs.width, units), format_length(length, units)));
}

void read_wanted(Draft& draft) {
  if (const Node* node = draft.table.table("wanted", "wanted = { radius = 5 }")) {
    Table table(*node, "the wanted form of " + draft.table.name(), draft.table.reading());
    if (const auto radius = table.length("radius", Range::positive(), Need::yes))
      draft.op.wanted = WantedForm::round(*radius);
    table.finish();
  } else if (draft.bit && draft.bit->wanted.curve.empty() && !draft.bit->profile.undercut()) {
    draft.table.fault(
        "bit",
        fmt::format("bit `{}` ({}) has no form to leave on an edge; use a moulding bit, add wanted = {{ "
                    "radius = 5 }}, or make it kind = \"cut_out\"",
                    shown(draft.bit->id), draft.bit->form));
  }
}

// An undercut bit goes in and out from the side, at its depth.
void check_undercut(Draft& draft) {
  if (!draft.bit || !draft.bit->profile.undercut()) return;
  Table& table = draft.table;
  const std::string bit = shown(draft.bit->id);
  if (draft.op.kind != OperationKind::edge) {
    table.fault("kind",
                fmt::format("bit `{}` is undercut: it cuts edges and slots, kind = \"edge\", but clears "
                            "no pocket and cuts nothing out; use a straight bit",
                            bit));
    return;
  }
  if (draft.op.passes.size() > 1)
    table.fault(
        table.has("passes") ? "passes" : "finish",
        fmt::format("bit `{}` is undercut: a shallower pass would cut away what stands above the last "
                    "one; make it one pass, and clear its way with a straight bit before",
                    bit));
  if (draft.op.ramp > 0)
    table.fault("ramp", fmt::format("bit `{}` is undercut: on a ramp it would cut away what stands above its "
                                    "path; remove `ramp` and come in from the side, with lead_in or overrun",
                                    bit));
}

// The sheet is turned over: kind = "turn", about = "y", registration = [0.1, 0], angle = 0.02.
void read_turn(Draft& draft, const Job& job) {
  Table& table = draft.table;
  Turn& turn = draft.op.turn;
  turn.about = static_cast<Turn::About>(table.choice("about", kAbouts, Need::yes).value_or(0));
  turn.error = table.point("registration", Range::any()).value_or(Vec2{});
  turn.angle = table.angle("angle", Range::any()).value_or(0);
  turn.time = table.number("time", Range::not_negative(kMostTime)).value_or(kTurnTime);
  table.finish();
  const double most = std::min(job.stock.width, job.stock.height) / 2;
  if (most > 0 && std::max(std::abs(turn.error.x), std::abs(turn.error.y)) > most)
    table.fault("registration",
                fmt::format("{} is more than half of the sheet; it is an error of a few tenths of "
                            "a millimetre at most",
                            table.called("registration")));
  if (std::abs(turn.angle) > kMostSkew)
    table.fault("angle",
                fmt::format("{} is more than 10 degrees; it is how far the turned sheet lies askew, a "
                            "small error",
                            table.called("angle")));
}

// A machine program; the edge it makes is measured where a contour is named.
void read_program(Draft& draft, const Job& job, const std::vector<Operation>& before) {
  Operation& op = draft.op;
  read_program_operation(draft.table, op, job);
  if (op.contour >= 0) {
    if (op.bit < job.bits.size() && !job.bits[op.bit].profile.pieces().empty()) draft.bit = &job.bits[op.bit];
    const NamedContour& contour = job.contours[static_cast<std::size_t>(op.contour)];
    if (!contour.contour.empty()) draft.contour = &contour;
    read_keep(draft);
    read_wanted(draft);
  }
  draft.table.finish();
  if (draft.table.reading().faulty()) return;
  const auto turns = static_cast<std::uint32_t>(std::count_if(
      before.begin(), before.end(), [](const Operation& o) { return o.kind == OperationKind::turn; }));
  place_on_sheet(sheet_pose(job.stock, before, turns), op.program);
  set_program_path(op, job);
}

// Pieces of path the operation will need, to refuse a job that would fill the memory.
double count_pieces(const Draft& draft) {
  if (!draft.contour) return 0;
  const Contour& contour = draft.contour->contour;
  double rings = 1;
  if (draft.op.kind == OperationKind::pocket && draft.op.stepover > 0) {
    const Box2 box = contour.box();
    rings += std::min(box.hi.x - box.lo.x, box.hi.y - box.lo.y) / 2 / draft.op.stepover;
  }
  return rings * static_cast<double>(draft.contour->at.size() * draft.op.passes.size()) *
         static_cast<double>(contour.segments().size() + 4 * static_cast<std::size_t>(draft.op.tabs.count));
}

Operation read_operation(const Node& node, const std::vector<Operation>& before, const Job& job,
                         double& pieces, Reading& reading) {
  const std::string* text = node.find_text("name");
  Draft draft{Table(node,
                    text ? fmt::format("operation \"{}\"", shown(*text))
                         : fmt::format("operation {}", before.size() + 1),
                    reading),
              {}};
  Table& table = draft.table;
  Operation& op = draft.op;
  op.source = reading.source(node.at);
  if (!node.is_table()) return op;
  op.name = table.text("name", Need::yes).value_or("");
  const auto kind = table.choice("kind", kKinds, Need::yes);
  if (!kind) return op;  // which keys belong here is not known
  op.kind = static_cast<OperationKind>(*kind);
  if (op.kind == OperationKind::program) {
    read_program(draft, job, before);
    return op;
  }
  if (op.kind == OperationKind::turn) {
    read_turn(draft, job);
    return op;
  }
  read_references(draft, job);
  read_keep(draft);
  read_depth(draft, job.stock);
  op.offset = table.length("offset", Range::any()).value_or(0);
  read_passes(draft);
  op.feed = table.feed("feed").value_or(0);
  op.plunge_feed = table.feed("plunge_feed").value_or(op.feed);
  op.spindle = table.spindle("spindle").value_or(0);
  op.ramp = table.length("ramp", Range::not_negative()).value_or(0);
  op.direction = static_cast<Direction>(table.choice("direction", kDirections).value_or(0));
  if (op.kind == OperationKind::pocket) {
    read_stepover(draft);
  } else {
    op.overlap = table.length("overlap", Range::not_negative()).value_or(0);
    op.lead_in = table.length("lead_in", Range::not_negative()).value_or(0);
    op.overrun = table.length("overrun", Range::not_negative()).value_or(0);
    if (op.overrun > 0 && draft.contour && draft.contour->contour.closed())
      table.fault("overrun",
                  "only the path of an open contour can run past its ends; for a closed one use "
                  "`overlap`");
    op.corner = static_cast<Corner>(table.choice("corner", kCorners).value_or(0));
    read_start(draft);
  }
  if (op.kind == OperationKind::cut_out) read_tabs(draft, job.stock);
  if (op.kind == OperationKind::edge) read_wanted(draft);
  check_undercut(draft);
  table.finish();
  pieces += count_pieces(draft);
  if (pieces > kMostPieces) {
    reading.fault(
        node.at,
        fmt::format("{} brings the job to {:.0f} pieces of path, more than {:.0f}; use fewer copies or "
                    "passes, or a wider stepover",
                    table.name(), pieces, kMostPieces));
    pieces = 0;
  }
  return op;
}

}  // namespace

std::vector<Operation> read_operations(const Node& node, const Job& job, Reading& reading) {
  std::vector<Operation> operations;
  if (node.items().empty() || node.items().size() > kMostOperations) {
    reading.fault(
        node.at,
        fmt::format(
            "`operations` of the scene is {}; put [[operations]], in double brackets, before "
            "each of 1 to {} operations",
            node.is_list() ? fmt::format("a list of {}", node.items().size()) : std::string(node.kind_name()),
            kMostOperations));
    return operations;
  }
  double pieces = 0;
  for (const Node& item : node.items()) {
    Operation op = read_operation(item, operations, job, pieces, reading);
    const auto same = [&](const Operation& other) { return other.name == op.name; };
    if (!op.name.empty() && std::any_of(operations.begin(), operations.end(), same))
      reading.fault(item.at, fmt::format("two operations are named \"{}\"; rename one", shown(op.name)));
    operations.push_back(std::move(op));
  }
  return operations;
}

}  // namespace ovolo::io
