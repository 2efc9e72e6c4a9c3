#include <fmt/format.h>

#include "io/report/dial.hpp"
#include "io/report/fit.hpp"
#include "io/text.hpp"

namespace ovolo::io {
namespace {

std::string line(const std::string& name, const Estimate& e) {
  return fmt::format("  {:<22} {:8.3f} mm  +-{:.3f}   ({:.4f} in; 95 %: {:.3f} to {:.3f} mm)\n", name,
                     e.value, 1.96 * e.error, e.value / 25.4, e.low(), e.high());
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
  std::string out = fmt::format("bit '{}' (radius {:.3f} mm) from {} of {}{}\n", bit.id, r.fit.bit.radius,
                                plural(readings, "reading"), plural(r.cuts.size(), "test cut"),
                                own ? " and its own readings" : " alone");
  out += line("working depth", r.fit.working_depth);
  out += line("tip flat, across", r.fit.tip_flat);
  for (std::size_t i = 0; i < r.fit.z.size(); ++i)
    out += line(
        r.fit.z.size() > 1 ? fmt::format("Z error, set-up {}", r.fit.set_ups[i]) : "Z error (+ is deeper)",
        r.fit.z[i]);
  if (r.fit.line) out += line("colour line below face", *r.fit.line);
  if (!r.known.bit.cutting_diameter)
    out += fmt::format(
        "  taken for granted: the arcs stand as on a full point, to {:.3f} mm of the cutting diameter; read "
        "that to be "
        "sure\n",
        r.known.centres);

  out += "\n  reading                                       read     fitted    off, in its errors\n";
  for (const FitResidual& res : r.fit.residuals)
    out += fmt::format("  {:<40} {:8.3f} {:10.3f} mm {:+8.1f}\n", res.what, res.read, res.fitted, res.off);
  if (r.fit.freedom > 0)
    out += fmt::format("  together: chi-square {:.1f} with {} to spare; so much or more by chance: {}\n",
                       r.fit.chi_square, r.fit.freedom, percent_text(r.fit.chance));
  for (const std::string& text : r.fit.contradictions) out += "\n  CONTRADICTION: " + text + '\n';
  for (const std::string& text : r.fit.doubts) out += "\n  NOT TOLD APART: " + text + '\n';

  if (r.dialed.unanswered.empty())
    out += fmt::format(
        "\nwith this bit: set '{}' to depth {:.3f} mm ({:.4f} in), offset {:.3f} mm ({:.4f} in): {} of edges "
        "within "
        "every wish\n",
        op.name, r.dialed.depth, r.dialed.depth / 25.4, r.dialed.offset, r.dialed.offset / 25.4,
        percent_text(1 - r.dialed.failure));
  return r.job.inch ? inch_first(out) : out;
}

}  // namespace ovolo::io
