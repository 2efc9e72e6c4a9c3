#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "io/bits/tip_flat.hpp"
#include "io/report/dial.hpp"
#include "io/report/program.hpp"
#include "io/report/report.hpp"
#include "io/report/shop.hpp"
#include "io/report/used_bits.hpp"
#include "io/text.hpp"
#include "sim/text.hpp"

namespace ovolo::io {
namespace {

// Greedy line breaks at `width` columns; later lines are indented.
std::string wrapped(const std::string& text, std::size_t width, const std::string& indent) {
  std::string out, line;
  std::size_t i = 0;
  while (i < text.size()) {
    std::size_t end = text.find(' ', i);
    if (end == std::string::npos) end = text.size();
    const std::string word = text.substr(i, end - i);
    if (!line.empty() && line.size() + 1 + word.size() > width) {
      out += line + '\n' + indent;
      line.clear();
    }
    line += (line.empty() ? "" : " ") + word;
    i = end + 1;
  }
  return out + line;
}

std::string mm_inch(double v) { return fmt::format("{:9.3f} mm {:9.4f} in", v, v / 25.4); }

void stat_line(std::string& out, const char* name, const std::optional<Stat>& s) {
  if (!s) {
    out += fmt::format("  {:<16} does not exist here (see the warnings)\n", name);
    return;
  }
  out += fmt::format("  {:<16} {}", name, mm_inch(s->max));
  if (s->max - s->min > 5e-4)
    out += fmt::format("   from {:.3f}, mean {:.3f} mm; most at ({:.1f}, {:.1f})", s->min, s->mean,
                       s->worst_at.x, s->worst_at.y);
  out += '\n';
}

void fine_line(std::string& out, const char* name, const std::optional<Stat>& s) {
  stat_line(out, name, s);
  if (s && s->max > 5e-5)
    out += fmt::format("  {:<16} {:9.1f} um {:9.2f} thou\n", "", s->max * 1000, s->max / 0.0254);
}

void angle_line(std::string& out, const char* name, const std::optional<Stat>& s, double own) {
  constexpr double deg = 180 / std::numbers::pi;
  if (!s) {
    out += fmt::format("  {:<16} does not exist here (see the warnings)\n", name);
    return;
  }
  out += fmt::format("  {:<16} {:9.2f} deg", name, s->max * deg);
  if (own > 1e-4) out += fmt::format(" ({:.2f} the form's own)", own * deg);
  if ((s->max - s->min) * deg > 5e-3)
    out += fmt::format("               from {:.2f}, mean {:.2f} deg; most at ({:.1f}, {:.1f})", s->min * deg,
                       s->mean * deg, s->worst_at.x, s->worst_at.y);
  out += '\n';
}

std::string places(const std::vector<Unreached>& list) {
  std::string out;
  for (std::size_t i = 0; i < list.size() && i < 6; ++i)
    out +=
        fmt::format("{}({:.1f}, {:.1f}){}", i > 0 ? "; " : "", list[i].at.x, list[i].at.y,
                    list[i].length < 0.05 ? " " + list[i].reason : fmt::format(" {:.1f} mm", list[i].length));
  if (list.size() > 6) out += fmt::format("; and {} more", list.size() - 6);
  return out;
}

// How far a program's path really lies from the line and how deep it goes.
void program_text(std::string& out, const Job& job, const EdgeMeasures& e) {
  const Operation& op = job.operations[e.operation];
  out += fmt::format("  bit '{}', run by the program {}\n", job.bits[op.bit].id, op.program_file);
  if (const auto path = program_path(job, e)) {
    const auto line = [&](const char* name, const ProgramPathReport::Range& r) {
      const auto tidy = [](double v) { return std::abs(v) < 5e-4 ? 0 : v; };
      out += fmt::format("  {:<16} {}", name, mm_inch(tidy(r.mean)));
      if (r.max - r.min > 5e-4)
        out += fmt::format("   from {:.3f} (line {}) to {:.3f} mm (line {})", tidy(r.min), r.min_line,
                           tidy(r.max), r.max_line);
      out += '\n';
    };
    line("axis off line", path->offset);
    line("tip below face", path->depth);
    if (path->nearest < path->offset.min - 5e-4)
      out += fmt::format("  {:<16} {}   of all passes (line {})\n", "nearest to line", mm_inch(path->nearest),
                         path->nearest_line);
    out += fmt::format("  {:<16} {:9.1f} mm of {:.1f}, in {} pass{}\n", "passed", path->reached, path->length,
                       path->passes, path->passes == 1 ? "" : "es");
  }
  for (const std::string& note : op.notes) out += "  " + wrapped("- " + note, 96, "    ") + '\n';
}

// The setting to use: not at the edge of what is good, but where errors do the least harm.
std::string advice(const Job& job, const EdgeMeasures& e, const DialedEdge& d) {
  const bool program = job.operations[e.operation].kind == OperationKind::program;
  std::string out = fmt::format("{}: depth {:.3f} mm ({:.4f} in), axis {:.3f} mm ({:.4f} in) off the line",
                                program ? "AIM THE PROGRAM AT" : "BEST SETTING", d.depth, d.depth / 25.4,
                                d.offset, d.offset / 25.4);
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

void edge_text(std::string& out, const Job& job, const EdgeMeasures& e, const DialedEdge* dialed) {
  const Operation& op = job.operations[e.operation];
  out += fmt::format("\n{}\n", op.name);
  if (op.kind == OperationKind::edge) {
    out += fmt::format(
        "  bit '{}', depth {:.3f} mm ({:.4f} in), axis {:.3f} mm ({:.4f} in) off the contour '{}'",
        job.bits[op.bit].id, op.depth, op.depth / 25.4, op.offset, op.offset / 25.4, e.contour);
    out += fmt::format(", {} pass{}\n", op.passes.size(), op.passes.size() == 1 ? "" : "es");
  } else {
    program_text(out, job, e);
    out += fmt::format("  measured on the contour '{}'\n", e.contour);
  }
  out += fmt::format("  contour {:.1f} mm long, {} stations", e.length, e.stations.size());
  if (e.copies.size() > 1) out += fmt::format("; {} copies measure the same", e.copies.size());
  out += '\n';
  for (const NamedContour& c : job.contours)
    if (c.id == e.contour && !c.notes.empty())
      out += "  " + wrapped(fmt::format("from a drawing: {}", fmt::join(c.notes, "; ")), 96, "    ") + '\n';
  if (e.other)
    out += fmt::format("  at the {} face\n", e.face == Face::top ? "top" : "lower");
  else if (e.face == Face::bottom)
    out += "  at the lower face, and measured from it\n";
  fine_line(out, "lip height", e.lip);
  fine_line(out, "flat band width", e.band);
  angle_line(out, "face break", e.face_break, e.own_face_break);
  angle_line(out, "wall break", e.wall_break, e.own_wall_break);
  stat_line(out, "foot depth", e.foot_depth);
  if (e.other) {
    out += fmt::format("  at the {} face\n", e.face == Face::top ? "lower" : "top");
    fine_line(out, "lip height", e.other->lip);
    fine_line(out, "flat band width", e.other->band);
    angle_line(out, "face break", e.other->face_break, e.own_face_break);
    angle_line(out, "wall break", e.other->wall_break, e.own_wall_break);
    stat_line(out, "foot depth", e.other->foot_depth);
    out += "  both together\n";
  }
  if (e.mismatch) fine_line(out, "halves differ", e.mismatch);
  if (e.wall_left) stat_line(out, "wall left", e.wall_left);
  if (e.thinnest) stat_line(out, "least thickness", e.thinnest);
  if (e.overcut && e.overcut->max > 5e-4) stat_line(out, "short of line", e.overcut);
  stat_line(out, "curve length", e.curve_length);
  stat_line(out, "width on face", e.round_width);
  for (const Exposure& x : e.exposure)
    if (x.length.max > 5e-4)
      out +=
          fmt::format("  {:<16} {}   {:.0f} mm2 in all\n", "shows " + x.layer, mm_inch(x.length.max), x.area);
  out += fmt::format("  {:<16} {}   {:.1f} mm3 above the wanted form\n", "excess", mm_inch(e.excess.max),
                     e.excess.volume);
  out += fmt::format("  {:<16} {}   {:.1f} mm3 below it, which nothing puts back\n", "gouge",
                     mm_inch(e.gouge.max), e.gouge.volume);
  out += fmt::format("  {:<16} {:9.3f} mm3 a part, the least removal that makes it fair\n", "to blend",
                     e.blend_volume);
  if (!e.unreached.empty()) out += "  " + wrapped("not reached: " + places(e.unreached), 96, "    ") + '\n';
  if (!e.ends.empty()) out += "  " + wrapped("ends and ramps, apart: " + places(e.ends), 96, "    ") + '\n';
  if (!e.shared_with.empty())
    out += fmt::format("  the same surface as: {}\n", fmt::join(e.shared_with, ", "));
  out += "  " + wrapped(std::string(e.verdict.good ? "GOOD: " : "NOT YET: ") + e.verdict.text, 96, "    ") +
         '\n';
  if (dialed && dialed->unanswered.empty()) out += "  " + wrapped(advice(job, e, *dialed), 96, "    ") + '\n';
}

}  // namespace

std::string report_text(const ReportInput& in) {
  const Job& job = *in.job;
  const Stock& stock = job.stock;
  std::string out = fmt::format("{}\n{}\n", job.title, std::string(job.title.size(), '='));
  out += wrapped((in.measures->verdict.good ? "GOOD: " : "NOT YET: ") + in.measures->verdict.text, 98, "  ") +
         '\n';
  out += fmt::format("\nsheet {:.1f} x {:.1f} x {:.2f} mm ({:.2f} x {:.2f} x {:.4f} in):", stock.width,
                     stock.height, stock.thickness(), stock.width / 25.4, stock.height / 25.4,
                     stock.thickness() / 25.4);
  for (const Layer& l : stock.layers) out += fmt::format(" {} {:.2f}", l.name, l.thickness);
  out += '\n';
  for (std::size_t i = 0; i < job.bits.size(); ++i) {
    const Bit& b = job.bits[i];
    if (!used(job, i)) continue;
    const double cutting = 2 * b.profile.cutting_radius(), flat = tip_flat(b);
    out += fmt::format("bit '{}': {}, cutting diameter {:.3f} mm ({:.4f} in)", b.id, b.form, cutting,
                       cutting / 25.4);
    if (flat < cutting) out += fmt::format(", tip flat {:.3f} mm ({:.4f} in)", flat, flat / 25.4);
    if (b.working_depth > 0)
      out += fmt::format(", works {:.3f} mm ({:.4f} in) deep", b.working_depth, b.working_depth / 25.4);
    out += '\n';
    if (!b.notes.empty())
      out += "  " + wrapped(fmt::format("from a drawing: {}", fmt::join(b.notes, "; ")), 96, "    ") + '\n';
  }
  for (std::size_t i = 0; i < in.measures->edges.size(); ++i)
    edge_text(out, job, in.measures->edges[i],
              i < in.dialed.size() && in.dialed[i] ? &*in.dialed[i] : nullptr);
  if (in.removed) {
    out += fmt::format("\nremoved from the sheet: {:.1f} cm3", in.removed->total / 1000);
    for (std::size_t i = 0; i < stock.layers.size(); ++i)
      out += fmt::format("{}{} {:.1f}", i == 0 ? " (" : ", ", stock.layers[i].name,
                         in.removed->by_layer[i] / 1000);
    out += ")\n";
  }
  if (in.solid && in.solid->part_volume)
    out += fmt::format("\nvolume of the finished part: {:.1f} cm3\n", *in.solid->part_volume / 1000);
  if (in.solid && !in.solid->files.empty())
    out += fmt::format("\nsolid of the {} in {}: {} triangles, {:.1f} cm3, within {:.3f} mm ({:.4f} in)\n",
                       in.solid->whole_sheet ? "sheet" : "part", fmt::join(in.solid->files, ", "),
                       in.solid->triangles, in.solid->volume / 1000, in.solid->tolerance,
                       in.solid->tolerance / 25.4);
  if (in.shop) out += shop_text(job, *in.shop);
  if (const auto warnings = warnings_of(in); !warnings.empty()) {
    out += "\nWarnings\n";
    for (const Warning& w : warnings) {
      std::string place = w.source.line > 0 ? fmt::format(" (line {})", w.source.line) : "";
      if (!w.source.file.empty() && w.source.file != job.file)
        place = fmt::format(" (in {})", w.source.file);  // a program's own lines are in the text
      out += "  - " + wrapped(w.text + place, 94, "    ") + '\n';
    }
  }
  out += "\nCautions\n";
  for (const std::string& c : cautions()) out += "  - " + wrapped(c, 94, "    ") + '\n';
  return job.inch ? inch_first(out) : out;
}

}  // namespace ovolo::io
