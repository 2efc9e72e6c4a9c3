#include <fmt/format.h>

#include "io/report/shop.hpp"

namespace ovolo::io {
namespace {

/// Likely value and range without words, for a table: "6 (2-12)".
std::string short_range(const Ranged& r, int decimals) {
  return fmt::format("{:.{}f} ({:.{}f}-{:.{}f})", r.value, decimals, r.low, decimals, r.high, decimals);
}

constexpr const char* kColumns = "  {:>4} {:>7} {:>6} {:>7} {:>9} {:>6} {:>13} {:>16} {:>6}\n";

std::string head() {
  return fmt::format(kColumns, "pass", "depth", "takes", "rate", "per tooth", "wide", "power", "tip index",
                     "time") +
         fmt::format(kColumns, "", "mm", "mm2", "mm3/s", "mm", "mm", "W", "(range)", "min");
}

void pass_line(std::string& out, const Operation& op, const PassLoad& p, const ShopEstimate& shop) {
  const double depth = p.pass < op.passes.size() ? op.passes[p.pass] : op.depth;
  std::string minutes = "-";
  if (shop.time)
    for (const PassTime& t : shop.time->passes)
      if (t.operation == p.operation && t.pass == p.pass) minutes = fmt::format("{:.2f}", t.seconds() / 60);
  const auto known = [&p](const std::string& text) { return p.chip_load > 0 ? text : "-"; };
  out += fmt::format(kColumns, p.pass + 1, fmt::format("{:.3f}", depth), fmt::format("{:.2f}", p.section.max),
                     known(fmt::format("{:.0f}", p.rate.max)), known(fmt::format("{:.4f}", p.chip_load)),
                     fmt::format("{:.2f}", p.width), known(short_range(p.power, 0)),
                     known(short_range(p.index, 1)), minutes);
}

void edge_line(std::string& out, const PassLoad& p) {
  out += fmt::format(
      "  the bit cuts at {:.1f} to {:.1f} m/s; its flute that stands highest takes {:.4f} mm; weakest {:.2f} "
      "mm "
      "above its tip\n",
      p.inner_speed, p.outer_speed, p.high_chip, p.tip.height);
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
  out += head();
  for (std::size_t i = 0; i < job.operations.size(); ++i) {
    out += fmt::format("{}\n", job.operations[i].name);
    if (job.operations[i].kind == OperationKind::turn) {
      const Turn& turn = job.operations[i].turn;
      out += fmt::format("  the sheet is turned over about its {} side{}, {:.1f} min\n",
                         turn.about == Turn::About::x ? "front or back" : "left or right",
                         turn.error == Vec2{} && turn.angle == 0
                             ? ""
                             : fmt::format(" and lies {:.3f}, {:.3f} mm off", turn.error.x, turn.error.y),
                         turn.time / 60);
      continue;
    }
    const PassLoad* last = nullptr;
    for (const PassLoad& p : shop.loads)
      if (p.operation == i) pass_line(out, job.operations[i], *(last = &p), shop);
    for (const EdgeFinish& e : shop.edges) {
      if (e.operation != i) continue;
      if (last && last->chip_load > 0) edge_line(out, *last);
      finish_lines(out, e);
    }
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
