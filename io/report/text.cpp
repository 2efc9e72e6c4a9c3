#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "io/bits/tip_flat.hpp"
#include "io/in_units.hpp"
#include "io/report/dial.hpp"
#include "io/report/program.hpp"
#include "io/report/report.hpp"
#include "io/report/shop.hpp"
#include "io/report/used_bits.hpp"
#include "io/text.hpp"
#include "sim/advise/as_written.hpp"
#include "sim/measure/verdict.hpp"
#include "sim/text.hpp"

namespace ovolo::io {
namespace {

void stat_line(std::string& out, InUnits say, const char* name, const std::optional<Stat>& s) {
  if (!s) {
    out += fmt::format("  {:<16} does not exist here (see the warnings)\n", name);
    return;
  }
  out += fmt::format("  {:<16} {}", name, say.columns(s->max));
  if (s->max - s->min > 5e-4)
    out += fmt::format("   from {}, mean {}; most at {}", say.number(s->min), say.length(s->mean),
                       say.place(s->worst_at));
  out += '\n';
}

void fine_line(std::string& out, InUnits say, const char* name, const std::optional<Stat>& s) {
  stat_line(out, say, name, s);
  if (s && s->max > 5e-5) out += fmt::format("  {:<16}     that is {}\n", "", say.fine(s->max));
}

void angle_line(std::string& out, InUnits say, const char* name, const std::optional<Stat>& s, double own) {
  constexpr double deg = 180 / std::numbers::pi;
  if (!s) {
    out += fmt::format("  {:<16} does not exist here (see the warnings)\n", name);
    return;
  }
  out += fmt::format("  {:<16} {:9.2f} deg", name, s->max * deg);
  if (own > 1e-4) out += fmt::format(" ({:.2f} the form's own)", own * deg);
  if ((s->max - s->min) * deg > 5e-3)
    out += fmt::format("               from {:.2f}, mean {:.2f} deg; most at {}", s->min * deg, s->mean * deg,
                       say.place(s->worst_at));
  out += '\n';
}

// The break at the face; a corner under a leaning flank, an arris, is told by the material's angle.
void face_line(std::string& out, InUnits say, const std::optional<Stat>& s, double own) {
  constexpr double deg = 180 / std::numbers::pi;
  if (!s || !leaves_arris(own)) return angle_line(out, say, "face break", s, own);
  out += fmt::format("  {:<16} {:9.2f} deg ({:.2f} the form's own)", "arris", 180 - s->max * deg,
                     180 - own * deg);
  if ((s->max - s->min) * deg > 5e-3)
    out += fmt::format("               up to {:.2f}, mean {:.2f} deg; least at {}", 180 - s->min * deg,
                       180 - s->mean * deg, say.place(s->worst_at));
  out += '\n';
}

std::string places(InUnits say, const std::vector<Unreached>& list) {
  std::string out;
  for (std::size_t i = 0; i < list.size() && i < 6; ++i)
    out += fmt::format("{}{} at {}", i > 0 ? "; " : "",
                       list[i].length < 0.05 ? list[i].reason : say.length(list[i].length, 1),
                       say.place(list[i].at));
  if (list.size() > 6) out += fmt::format("; and {} more", list.size() - 6);
  return out;
}

// How far a program's path really lies from the line and how deep it goes.
void program_text(std::string& out, InUnits say, const Job& job, const EdgeMeasures& e) {
  const Operation& op = job.operations[e.operation];
  out += fmt::format("  bit '{}', run by the program {}\n", job.bits[op.bit].id, op.program_file);
  if (const auto path = program_path(job, e)) {
    const auto line = [&](const char* name, const ProgramPathReport::Range& r) {
      out += fmt::format("  {:<16} {}", name, say.columns(r.mean));
      if (r.max - r.min > 5e-4)
        out += fmt::format("   from {} (line {}) to {} (line {})", say.number(r.min), r.min_line,
                           say.length(r.max), r.max_line);
      out += '\n';
    };
    line("axis off line", path->offset);
    line("tip below face", path->depth);
    if (path->nearest < path->offset.min - 5e-4)
      out += fmt::format("  {:<16} {}   of all passes (line {})\n", "nearest to line",
                         say.columns(path->nearest), path->nearest_line);
    out += fmt::format("  {:<16} {} of {}, in {} pass{}\n", "passed", say.number(path->reached, 1),
                       say.length(path->length, 1), path->passes, path->passes == 1 ? "" : "es");
  }
  for (const std::string& note : op.notes) out += "  " + wrapped("- " + note, 96, "    ") + '\n';
}

// The setting to use: not at the edge of what is good, but where errors do the least harm.
std::string advice(InUnits say, const Job& job, const EdgeMeasures& e, const DialedEdge& d) {
  const bool program = job.operations[e.operation].kind == OperationKind::program;
  std::string out =
      fmt::format("{}: depth {}, offset {}", program ? "AIM THE PROGRAM AT" : "BEST SETTING",
                  say.both(as_written(d.depth, job.inch)), say.both(as_written(d.offset, job.inch)));
  if (!e.shared_with.empty()) out += ", as if this operation cut the edge alone";
  if (!d.set_aside.empty()) {
    std::vector<std::string> names;
    for (const Wish w : d.set_aside) names.emplace_back(name_of(w));
    return out + fmt::format(", which leaves the wish for {} aside: no setting meets all (see `ovolo dial`)",
                             list_text(names));
  }
  return out + fmt::format(": {} of edges within every wish with the usual errors; as the scene has it {}",
                           percent_text(1 - d.failure), percent_text(1 - d.failure_now));
}

void edge_text(std::string& out, InUnits say, const Job& job, const EdgeMeasures& e,
               const DialedEdge* dialed) {
  const Operation& op = job.operations[e.operation];
  out += fmt::format("\n{}\n", op.name);
  if (op.kind == OperationKind::edge) {
    out += fmt::format("  bit '{}', depth {}, offset {} of its axis off the contour '{}'",
                       job.bits[op.bit].id, say.both(op.depth), say.both(op.offset), e.contour);
    out += fmt::format(", {} pass{}\n", op.passes.size(), op.passes.size() == 1 ? "" : "es");
  } else {
    program_text(out, say, job, e);
    out += fmt::format("  measured on the contour '{}'\n", e.contour);
  }
  out += fmt::format("  contour {} long, {} stations", say.both(e.length, 1), e.stations.size());
  if (e.copies.size() > 1) out += fmt::format("; {} copies measure the same", e.copies.size());
  out += '\n';
  for (const NamedContour& c : job.contours)
    if (c.id == e.contour && !c.notes.empty())
      out += "  " + wrapped(fmt::format("from a drawing: {}", fmt::join(c.notes, "; ")), 96, "    ") + '\n';
  if (e.other)
    out += fmt::format("  at the {} face\n", e.face == Face::top ? "top" : "lower");
  else if (e.face == Face::bottom)
    out += "  at the lower face, and measured from it\n";
  fine_line(out, say, "lip height", e.lip);
  fine_line(out, say, "flat band width", e.band);
  face_line(out, say, e.face_break, e.own_face_break);
  angle_line(out, say, "wall break", e.wall_break, e.own_wall_break);
  stat_line(out, say, "foot depth", e.foot_depth);
  if (e.other) {
    out += fmt::format("  at the {} face\n", e.face == Face::top ? "lower" : "top");
    fine_line(out, say, "lip height", e.other->lip);
    fine_line(out, say, "flat band width", e.other->band);
    face_line(out, say, e.other->face_break, e.own_face_break);
    angle_line(out, say, "wall break", e.other->wall_break, e.own_wall_break);
    stat_line(out, say, "foot depth", e.other->foot_depth);
    out += "  both together\n";
  }
  if (e.mismatch) fine_line(out, say, "halves differ", e.mismatch);
  if (e.wall_left) stat_line(out, say, "wall left", e.wall_left);
  if (e.thinnest) stat_line(out, say, "least thickness", e.thinnest);
  if (e.overcut && e.overcut->max > 5e-4) stat_line(out, say, "short of line", e.overcut);
  stat_line(out, say, "curve length", e.curve_length);
  stat_line(out, say, "width on face", e.round_width);
  for (const Exposure& x : e.exposure)
    if (x.length.max > 5e-4)
      out += fmt::format("  {:<16} {}   {} in all\n", "shows " + x.layer, say.columns(x.length.max),
                         say.area(x.area, 0));
  out += fmt::format("  {:<16} {}   {} above the wanted form\n", "excess", say.columns(e.excess.max),
                     say.volume(e.excess.volume));
  out += fmt::format("  {:<16} {}   {} below it, which nothing puts back\n", "gouge",
                     say.columns(e.gouge.max), say.volume(e.gouge.volume));
  out += fmt::format("  {:<16} {:>12} a part, the least removal that makes it fair\n", "to blend",
                     say.volume(e.blend_volume, 3));
  if (!e.unreached.empty())
    out += "  " + wrapped("not reached: " + places(say, e.unreached), 96, "    ") + '\n';
  if (!e.ends.empty())
    out += "  " + wrapped("ends and ramps, not counted above: " + places(say, e.ends), 96, "    ") + '\n';
  if (!e.shared_with.empty())
    out += fmt::format("  the same surface as: {}\n", fmt::join(e.shared_with, ", "));
  out += "  " +
         wrapped(say.sentence((e.verdict.good ? "GOOD: " : "NOT YET: ") + e.verdict.text), 96, "    ") + '\n';
  if (dialed && dialed->unanswered.empty())
    out += "  " + wrapped(advice(say, job, e, *dialed), 96, "    ") + '\n';
}

// The sheet's size in both units, then its layers from the top face down.
std::string sheet_text(InUnits say, const Stock& stock) {
  const auto size = [&stock](InUnits in) {
    return fmt::format("{} x {} x {}", in.number(stock.width, 1), in.number(stock.height, 1),
                       in.length(stock.thickness(), 2));
  };
  std::string out =
      fmt::format("sheet {} ({}), from the top face down: ", size(say), size(InUnits(!say.inch())));
  for (std::size_t i = 0; i < stock.layers.size(); ++i)
    out += fmt::format("{}{} {}", i == 0 ? "" : ", ", stock.layers[i].name,
                       say.length(stock.layers[i].thickness, 2));
  return out;
}

}  // namespace

std::string report_text(const ReportInput& in) {
  const Job& job = *in.job;
  const Stock& stock = job.stock;
  const InUnits say(job.inch);
  std::string out = fmt::format("{}\n{}\n", job.title, std::string(job.title.size(), '='));
  out +=
      wrapped(say.sentence((in.measures->verdict.good ? "GOOD: " : "NOT YET: ") + in.measures->verdict.text),
              98, "  ") +
      '\n';
  out += fmt::format("\n{}\n", wrapped(sheet_text(say, stock), 98, "  "));
  for (std::size_t i = 0; i < job.bits.size(); ++i) {
    const Bit& b = job.bits[i];
    if (!used(job, i)) continue;
    const double cutting = 2 * b.profile.cutting_radius(), flat = tip_flat(b);
    out += fmt::format("bit '{}': {}, cutting diameter {}", b.id, in_words(b.form), say.both(cutting));
    if (flat < cutting) out += fmt::format(", tip flat {}", say.both(flat));
    if (b.working_depth > 0) out += fmt::format(", works {} deep", say.both(b.working_depth));
    out += '\n';
    if (!b.notes.empty())
      out += "  " + wrapped(fmt::format("from a drawing: {}", fmt::join(b.notes, "; ")), 96, "    ") + '\n';
  }
  for (std::size_t i = 0; i < in.measures->edges.size(); ++i)
    edge_text(out, say, job, in.measures->edges[i],
              i < in.dialed.size() && in.dialed[i] ? &*in.dialed[i] : nullptr);
  if (in.removed) {
    out += fmt::format("\nremoved from the sheet: {}", say.large_volume(in.removed->total));
    for (std::size_t i = 0; i < stock.layers.size() && stock.layers.size() > 1; ++i)
      out += fmt::format("{}{} {}", i == 0 ? " (" : ", ", stock.layers[i].name,
                         say.large_volume(in.removed->by_layer[i]));
    out += stock.layers.size() > 1 ? ")\n" : "\n";
  }
  if (in.solid && in.solid->part_volume)
    out += fmt::format("\nvolume of the finished part: {}\n", say.large_volume(*in.solid->part_volume));
  if (in.solid && !in.solid->files.empty())
    out +=
        fmt::format("\nsolid of the {} in {}: {} triangles, {}, within {}\n",
                    in.solid->whole_sheet ? "sheet" : "part", fmt::join(in.solid->files, ", "),
                    in.solid->triangles, say.large_volume(in.solid->volume), say.both(in.solid->tolerance));
  if (in.shop) out += shop_text(job, *in.shop);
  if (const auto warnings = warnings_of(in); !warnings.empty()) {
    out += "\nWarnings\n";
    for (const Warning& w : warnings) {
      std::string place = w.source.line > 0 ? fmt::format(" (line {})", w.source.line) : "";
      if (!w.source.file.empty() && w.source.file != job.file)
        place = fmt::format(" (in {})", w.source.file);  // a program's own lines are in the text
      out += "  - " + wrapped(say.sentence(w.text) + place, 94, "    ") + '\n';
    }
  }
  out += "\nCautions\n";
  for (const std::string& c : cautions()) out += "  - " + wrapped(c, 94, "    ") + '\n';
  return wrap_long_lines(out, 110);
}

}  // namespace ovolo::io
