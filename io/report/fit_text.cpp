#include <fmt/format.h>

#include <cmath>

#include "io/in_units.hpp"
#include "io/report/dial.hpp"
#include "io/report/fit.hpp"

namespace ovolo::io {
namespace {

std::string line(InUnits say, const std::string& name, const Estimate& e) {
  return fmt::format("  {:<24} {}   +-{}   (95 %: {} to {})\n", name, say.columns(e.value),
                     say.number(1.96 * e.error), say.number(e.low()), say.length(e.high()));
}

std::string plural(std::size_t n, const char* what) {
  return fmt::format("{} {}{}", n, what, n == 1 ? "" : "s");
}

}  // namespace

std::string fit_text(const FitReport& r) {
  const Operation& op = r.job.operations[r.operation];
  const Bit& bit = r.job.bits[op.bit];
  std::size_t readings = 0;
  for (const TestCut& cut : r.cuts) readings += cut.readings.size();
  const bool own = r.known.bit.working_depth || r.known.bit.tip_flat || r.known.bit.cutting_diameter;
  const InUnits say(r.job.inch);
  std::string out = fmt::format("bit '{}' (radius {}) from {} of {}{}\n", bit.id, say.both(r.fit.bit.radius),
                                plural(readings, "reading"), plural(r.cuts.size(), "test cut"),
                                own ? " and its own readings" : " alone");
  out += line(say, "working depth", r.fit.working_depth);
  out += line(say, "tip flat, across", r.fit.tip_flat);
  for (std::size_t i = 0; i < r.fit.z.size(); ++i)
    out += line(say,
                r.fit.z.size() > 1 ? fmt::format("Z error, set-up {}", r.fit.set_ups[i])
                                   : std::string("Z error (+ is deeper)"),
                r.fit.z[i]);
  if (r.fit.line) out += line(say, "colour line below face", *r.fit.line);
  if (!r.known.bit.cutting_diameter)
    out += fmt::format(
        "  taken for granted: the curve's centre stands as on a full point, to {} of the cutting diameter; "
        "read "
        "that diameter to be sure\n",
        say.length(r.known.centres));

  out += fmt::format("\n  {:<40} {:>9} {:>10}    {}\n", fmt::format("reading, {}", say.unit()), "read",
                     "fitted", "off by");
  for (const FitResidual& res : r.fit.residuals)
    out += fmt::format("  {:<40} {:>9} {:>10}    {:.1f} times its usual error\n", res.what,
                       say.number(res.read), say.number(res.fitted), std::abs(res.off));
  if (r.fit.freedom > 0)
    out += fmt::format(
        "  do the readings agree? readings no better than these differ so much, or more, by chance in {} of "
        "cases\n",
        percent_text(r.fit.chance));
  for (const std::string& text : r.fit.contradictions)
    out += "\n  CONTRADICTION: " + say.sentence(text) + '\n';
  for (const std::string& text : r.fit.doubts) out += "\n  NOT TOLD APART: " + say.sentence(text) + '\n';

  if (!r.fit.contradictions.empty())
    out += "\nno setting is told, for the readings contradict each other: read again, then fit again\n";
  else if (r.dialed.unanswered.empty())
    out += fmt::format("\nwith this bit: set '{}' to depth {}, offset {}: {} of edges within every wish\n",
                       op.name, say.both(r.dialed.depth), say.both(r.dialed.offset),
                       percent_text(1 - r.dialed.failure));
  return out;
}

}  // namespace ovolo::io
