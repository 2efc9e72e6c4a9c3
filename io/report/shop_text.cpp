#include <fmt/format.h>

#include "io/report/shop.hpp"

namespace ovolo::io {
namespace {

void pass_line(std::string& out, const Operation& op, const PassLoad& p) {
  const double depth = p.pass < op.passes.size() ? op.passes[p.pass] : op.depth;
  out += fmt::format(
      "  pass {} to {:.3f} mm: takes {:.2f} mm2 at most, {:.0f} mm3/s, {:.4f} mm per tooth ({:.4f} on "
      "the high flute)\n",
      p.pass + 1, depth, p.section.max, p.rate.max, p.chip_load, p.high_chip);
  out += fmt::format(
      "    {:.2f} mm wide and {:.2f} mm high in contact, {:.2f} m/s at the tip, {:.2f} m/s at the rim, {} "
      "W\n",
      p.width, p.depth, p.inner_speed, p.outer_speed, format_range(p.power, 0));
  out += fmt::format("    tip index {}, weakest {:.2f} mm above the tip\n", format_range(p.index, 1),
                     p.tip.height);
}

void finish_lines(std::string& out, const EdgeFinish& e) {
  const CurveMarks& m = e.marks;
  if (!m.points.empty()) {
    out += fmt::format("  feed marks: tallest {}{:.1f} um, {:.0f} marks per inch\n", m.open ? "over " : "",
                       1000 * m.tallest, m.marks_per_inch);
    for (const MarkBand& b : m.bands)
      out += fmt::format(
          "    {:.2f} to {:.2f} mm up the curve: Rz {:.2f} um, Ra {:.2f} um, tallest {:.1f} um{}\n", b.s0,
          b.s1, 1000 * b.rz, 1000 * b.ra, 1000 * b.rt, b.nearest_tip ? " (nearest the tip)" : "");
  }
  if (e.shared) {
    out += "  sanding: counted with the later operation on this edge\n";
    return;
  }
  out += "  sanding:";
  const char* comma = "";
  for (std::size_t i = 0; i < kSandClasses; ++i)
    if (e.sanding.classes[i].length > 0) {
      out += fmt::format("{} {} on {:.0f} mm", comma, name_of(static_cast<SandClass>(i)),
                         e.sanding.classes[i].length);
      comma = ",";
    }
  for (std::size_t i = 0; i < e.sanding.grits.size(); ++i)
    out += fmt::format("{}P{}", i == 0 ? "; " : ", then ", e.sanding.grits[i].number);
  out += '\n';
  for (const std::string& text : e.sanding.beyond) out += fmt::format("    {}\n", text);
}

void cost_lines(std::string& out, const char* whose, const CostShare& c, const std::string& currency) {
  const std::string unit = currency.empty() ? "" : " " + currency;
  out += fmt::format(
      "  {}: machine {:.1f} min, set-up {:.1f} min, sanding {} min, abrasive {:.2f} sheets: {}{}\n", whose,
      c.machine_minutes, c.set_up_minutes, format_range(c.sanding_minutes, 1), c.sheets,
      format_range(c.total, 2), unit);
}

}  // namespace

std::string format_range(const Ranged& r, int decimals) {
  const std::string low = fmt::format("{:.{}f}", r.low, decimals),
                    high = fmt::format("{:.{}f}", r.high, decimals);
  const std::string value = fmt::format("{:.{}f}", r.value, decimals);
  return low == high ? value : fmt::format("{} ({} to {})", value, low, high);
}

std::string shop_text(const Job& job, const ShopEstimate& shop) {
  std::string out = "\nIn the shop\n";
  for (std::size_t i = 0; i < job.operations.size(); ++i) {
    out += fmt::format("{}\n", job.operations[i].name);
    for (const PassLoad& p : shop.loads)
      if (p.operation == i) pass_line(out, job.operations[i], p);
    for (const EdgeFinish& e : shop.edges)
      if (e.operation == i) finish_lines(out, e);
  }
  for (const std::string& name : shop.missing)
    out += fmt::format("'{}' has no feed or no spindle speed: set both to learn its loads, marks and time\n",
                       name);
  if (shop.cost) {
    cost_lines(out, "per part", shop.cost->part, job.shop.rates.currency);
    cost_lines(out, fmt::format("batch of {}", job.shop.rates.batch).c_str(), shop.cost->batch,
               job.shop.rates.currency);
  }
  out += fmt::format("  sanding rates: {}; specific energy {} N/mm2: {}\n", job.shop.sand_rates.source,
                     format_range(job.shop.material.specific_energy, 0), job.shop.material.energy_source);
  return out;
}

}  // namespace ovolo::io
