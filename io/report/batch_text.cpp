#include <fmt/format.h>

#include <algorithm>
#include <numbers>

#include "io/in_units.hpp"
#include "io/report/batch.hpp"
#include "io/report/dial.hpp"

namespace ovolo::io {
namespace {

constexpr double kDegrees = 180 / std::numbers::pi;

// One measure's spread; `number` writes a value as the table has it.
template <class Number>
std::string row(const std::string& name, const Spread& s, const Number& number, const std::string& wish,
                double broken) {
  return fmt::format("    {:<20}{:>9}{:>9}{:>9}{:>9}  {:>8}  {}\n", name, number(s.low), number(s.middle),
                     number(s.high), number(s.most), wish, broken > 0 ? percent_text(broken) : "-");
}

void edge_text(std::string& out, InUnits say, const Job& job, const BatchEdge& e) {
  const Wishes& w = job.wishes;
  const auto broken = [&](Wish wish) { return e.broken[static_cast<std::size_t>(wish)]; };
  const auto length = [say](double mm) { return say.number(mm); };
  const auto angle = [](double radians) { return fmt::format("{:.1f}", radians * kDegrees); };
  const std::string unit = std::string(", ") + say.unit();
  out += fmt::format("\n{}: {} of edges within every wish\n", job.operations[e.operation].name,
                     percent_text(e.within));
  out += fmt::format("    {:<20}{:>9}{:>9}{:>9}{:>9}  {:>8}  {}\n", "", "5 %", "middle", "95 %", "largest",
                     "wish", "broken by");
  out += row("lip" + unit, e.lip, length, length(w.lip), broken(Wish::lip));
  out += row("flat band" + unit, e.band, length, length(w.band), broken(Wish::band));
  out += row("face break, deg", e.face_break, angle, angle(w.face_break), broken(Wish::face_break));
  out += row("wall break, deg", e.wall_break, angle, angle(w.wall_break), broken(Wish::wall_break));
  out += row("foot depth" + unit, e.foot_depth, length, "", broken(Wish::foot));
  for (std::size_t i = 0; i < e.exposure.size(); ++i) {
    const std::string& layer = job.stock.layers[i].name;
    const bool hidden = std::find(w.hidden.begin(), w.hidden.end(), layer) != w.hidden.end();
    if (e.exposure[i].most > 5e-4 || hidden)
      out += row(fmt::format("{} shows{}", layer, unit), e.exposure[i], length, hidden ? "hidden" : "",
                 hidden ? broken(Wish::hidden) : 0);
  }
}

std::string looks(InUnits say, const Job& job, const BatchResult& b) {
  std::string out =
      "\nwhen to stop and look (a batch counts as bad when 1 in 10 of its parts or more are outside the "
      "wishes)\n";
  if (b.bad_batches > 0) out += fmt::format("  unseen, {} of batches are bad\n", percent_text(b.bad_batches));
  if (b.passed_look == 0 && b.first_parts != 0)
    out +=
        "  no batch drawn has good first parts at all: these settings do not make good edges; see `ovolo "
        "dial`\n";
  else if (!b.first_parts)
    out += fmt::format(
        "  even {} good first parts leave {} bad: read the bit more closely, or fit it to a test cut\n",
        BatchResult::most_looked, percent_text(b.bad_after_look));
  else if (*b.first_parts == 0)
    out += "  no need to measure the first parts: nearly every batch is good\n";
  else
    out += fmt::format("  measure the first {}: when all are good, {} of batches are still bad\n",
                       *b.first_parts == 1 ? "part" : fmt::format("{} parts", *b.first_parts),
                       percent_text(b.bad_after_look));
  if (b.bad_batches > 0 && b.passed_look > 0 && b.first_parts != 0)
    out += fmt::format(
        "    why: parts of a batch share their bit and set-up, so good first parts vouch for the rest; the "
        "fewest "
        "that\n"
        "    leave no more than 5 % bad, counted over {} of the {} batches drawn, whose first parts were all "
        "good\n",
        b.passed_look, b.batches);
  const int per_set_up = job.variation.parts_per_set_up.value_or(job.shop.rates.parts_per_sheet);
  if (per_set_up > 1)
    out +=
        fmt::format("  and one part after each zeroing, every {} parts: a set-up's error is in all of them\n",
                    per_set_up);
  else
    out += "  each part is zeroed by itself here, and may be off by itself: glance at every one\n";
  if (b.metres_to_reading)
    out += fmt::format(
        "  read the bit of '{}' again after {} of edge, about {} parts: by then wear has raised the chance "
        "of a "
        "bad edge by 5 %\n",
        job.operations[static_cast<std::size_t>(b.reading_operation)].name, say.way(*b.metres_to_reading),
        b.parts_to_reading);
  else
    out += "  wear alone does not call for another reading of the bit within one batch\n";
  return out;
}

}  // namespace

std::string batch_text(const Job& job, const BatchResult& b) {
  const Variation& v = job.variation;
  const InUnits say(job.inch);
  std::string out = fmt::format("{}: batches of {} part{} ({} batches drawn, seed {})\n", job.title, b.parts,
                                b.parts == 1 ? "" : "s", b.batches, b.seed);
  out += fmt::format(
      "{} of parts have every edge within the wishes (the draw itself leaves +-{:.1f}, with 95 %);\n"
      "  9 batches in 10 have from {:.0f} to {:.0f} %\n",
      percent_text(b.within), 100 * 1.96 * b.within_error, 100 * b.within_low, 100 * b.within_high);
  if (b.within_by_place.size() > 1)
    out += fmt::format("  {} in the first tenth of a batch, {} in the last\n",
                       percent_text(b.within_by_place.front()), percent_text(b.within_by_place.back()));
  for (const BatchEdge& e : b.edges) edge_text(out, say, job, e);
  if (!b.left_out.empty())
    out += fmt::format("\nnot judged, for want of a form: {}\n", fmt::join(b.left_out, ", "));

  out += fmt::format(
      "\nsanding: {:.2f} hours a batch at the likely rates (5 % of batches below {:.2f}, 5 % above "
      "{:.2f});\n",
      b.sanding_hours.value, b.sanding_low, b.sanding_high);
  out += fmt::format("  {:.2f} to {:.2f} hours by the rates' own range (rates: {})\n", b.sanding_hours.low,
                     b.sanding_hours.high, job.shop.sand_rates.source);
  if (!b.marks_known) out += "  without feed marks: an operation tells no feed or no spindle speed\n";
  out += looks(say, job, b);
  out += fmt::format(
      "\nvaried (one standard deviation): Z {} ({} of it from part to part), axis {}, bit readings, runout "
      "{},\n"
      "  wear {} for every {} of edge{}{}\n",
      say.length(job.errors.z), say.length(std::min(v.z_repeat, job.errors.z)), say.length(job.errors.xy),
      say.length(job.errors.runout), say.length(v.wear), say.way(100),
      job.errors.zero_on == ZeroOn::spoilboard
          ? fmt::format(", sheet thickness {}", say.length(job.errors.thickness))
          : "",
      v.layers > 0 ? fmt::format(", layers {}", say.length(v.layers)) : "");
  out +=
      "Each edge is evaluated on its straight section, as if no other operation touched it; corners, ramps "
      "and places\n"
      "where the sheet is not flat are not in the shares. Wear and most rates are guesses until you put your "
      "own.\n";
  return out;
}

}  // namespace ovolo::io
