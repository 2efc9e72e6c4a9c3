#include <fmt/format.h>

#include <algorithm>

#include "io/in_units.hpp"
#include "io/report/shop.hpp"
#include "io/text.hpp"

namespace ovolo::io {
namespace {

/// Likely value and range without words, for a table: "6 (2-12)".
std::string short_range(const Ranged& r, int decimals) {
  return fmt::format("{:.{}f} ({:.{}f}-{:.{}f})", r.value, decimals, r.low, decimals, r.high, decimals);
}

constexpr const char* kColumns = "  {:>4} {:>7} {:>7} {:>8} {:>9} {:>7} {:>13} {:>16} {:>6}\n";

std::string head(InUnits say) {
  const std::string unit = say.unit();
  return fmt::format(kColumns, "pass", "depth", "takes", "rate", "per tooth", "wide", "power", "tip load",
                     "time") +
         fmt::format(kColumns, "", unit, unit + "2", say.inch() ? "in3/min" : "mm3/s", unit, unit, "W",
                     "% (range)", "min");
}

void pass_line(std::string& out, InUnits say, const Operation& op, const PassLoad& p,
               const ShopEstimate& shop) {
  constexpr double kSquareInch = kInch * kInch, kCubicInch = kInch * kInch * kInch;
  const double depth = p.pass < op.passes.size() ? op.passes[p.pass] : op.depth;
  std::string minutes = "-";
  if (shop.time)
    for (const PassTime& t : shop.time->passes)
      if (t.operation == p.operation && t.pass == p.pass) minutes = fmt::format("{:.2f}", t.seconds() / 60);
  const auto known = [&p](const std::string& text) { return p.chip_load > 0 ? text : "-"; };
  const std::string takes =
      say.inch() ? fmt::format("{:.4f}", p.section.max / kSquareInch) : fmt::format("{:.2f}", p.section.max);
  const std::string rate =
      say.inch() ? fmt::format("{:.2f}", p.rate.max * 60 / kCubicInch) : fmt::format("{:.0f}", p.rate.max);
  out += fmt::format(kColumns, p.pass + 1, say.number(depth), takes, known(rate),
                     known(say.number(p.chip_load, 4)), say.number(p.width, 2),
                     known(short_range(p.power, 0)), known(short_range(p.index, 1)), minutes);
}

void edge_line(std::string& out, InUnits say, const PassLoad& p) {
  out += fmt::format(
      "  the bit cuts at {} near its axis and at {} farthest out; with its runout one tooth takes up to {}; "
      "it is weakest {} above its tip\n",
      say.speed(p.inner_speed), say.speed(p.outer_speed), say.length(p.high_chip, 4),
      say.length(p.tip.height, 2));
}

void finish_lines(std::string& out, InUnits say, const EdgeFinish& e) {
  const CurveMarks& m = e.marks;
  if (!m.points.empty()) {
    out +=
        fmt::format("  feed marks: tallest {}{}, {:.0f} marks per inch ({:.1f} a mm)\n",
                    m.open ? "over " : "", say.fine(m.tallest), m.marks_per_inch, m.marks_per_inch / kInch);
    for (const MarkBand& b : m.bands)
      out += fmt::format("    {} to {} up the curve: Rz {}, Ra {}, tallest {}{}\n", say.number(b.s0, 2),
                         say.length(b.s1, 2), say.roughness(b.rz), say.roughness(b.ra), say.roughness(b.rt),
                         b.nearest_tip ? " (nearest the tip)" : "");
  }
  if (e.shared) {
    out += "  sanding: counted with the later operation on this edge\n";
    return;
  }
  out += "  sanding:";
  const char* comma = "";
  for (std::size_t i = 0; i < kSandClasses; ++i)
    if (e.sanding.classes[i].length > 0) {
      out += fmt::format("{} {} on {}", comma, name_of(static_cast<SandClass>(i)),
                         say.length(e.sanding.classes[i].length, 0));
      comma = ",";
    }
  for (std::size_t i = 0; i < e.sanding.grits.size(); ++i)
    out += fmt::format("{}P{}", i == 0 ? "; grit " : ", then ", e.sanding.grits[i].number);
  out += '\n';
  for (const std::string& text : e.sanding.beyond) out += fmt::format("    {}\n", say.sentence(text));
}

void cost_lines(std::string& out, const char* whose, const CostShare& c, const std::string& currency) {
  out += fmt::format(
      "  {}: machine {:.1f} min, set-up {:.1f} min, sanding {} min, abrasive {:.2f} sheets; cost {} {}\n",
      whose, c.machine_minutes, c.set_up_minutes, format_range(c.sanding_minutes, 1), c.sheets,
      format_range(c.total, 2), currency.empty() ? "in the money of your rates" : currency);
}

}  // namespace

std::string format_range(const Ranged& r, int decimals) {
  const std::string low = fmt::format("{:.{}f}", r.low, decimals),
                    high = fmt::format("{:.{}f}", r.high, decimals);
  const std::string value = fmt::format("{:.{}f}", r.value, decimals);
  return low == high ? value : fmt::format("{} ({} to {})", value, low, high);
}

std::string shop_text(const Job& job, const ShopEstimate& shop) {
  const InUnits say(job.inch);
  std::string out = "\nIn the shop\n";
  out += head(say);
  for (std::size_t i = 0; i < job.operations.size(); ++i) {
    out += fmt::format("{}\n", job.operations[i].name);
    if (job.operations[i].kind == OperationKind::turn) {
      const Turn& turn = job.operations[i].turn;
      out += fmt::format(
          "  the sheet is turned over about its {} side{}, {:.1f} min\n",
          turn.about == Turn::About::x ? "front or back" : "left or right",
          turn.error == Vec2{} && turn.angle == 0
              ? ""
              : fmt::format(" and lies {}, {} off", say.number(turn.error.x), say.length(turn.error.y)),
          turn.time / 60);
      continue;
    }
    const PassLoad* last = nullptr;
    for (const PassLoad& p : shop.loads)
      if (p.operation == i) pass_line(out, say, job.operations[i], *(last = &p), shop);
    for (const EdgeFinish& e : shop.edges) {
      if (e.operation != i) continue;
      if (last && last->chip_load > 0) edge_line(out, say, *last);
      finish_lines(out, say, e);
    }
  }
  for (const std::string& name : shop.missing)
    out += fmt::format("'{}' has no feed or no spindle speed: set both to learn its loads, marks and time\n",
                       name);
  if (std::any_of(shop.loads.begin(), shop.loads.end(), [](const PassLoad& p) { return p.chip_load > 0; }))
    out +=
        "  tip load: how hard the bit is bent where it is weakest, in % of the strength assumed (a guess); "
        "it compares ways to cut and promises nothing\n";
  if (shop.cost) {
    cost_lines(out, "per part", shop.cost->part, job.shop.rates.currency);
    cost_lines(out, fmt::format("batch of {}", job.shop.rates.batch).c_str(), shop.cost->batch,
               job.shop.rates.currency);
  }
  if (shop.cost && std::any_of(shop.edges.begin(), shop.edges.end(), [](const EdgeFinish& e) {
        return e.sanding.worst == SandClass::recut || !e.sanding.beyond.empty();
      }))
    out +=
        "  parts cut so must be cut anew with other settings: the sanding counted here is of what could be "
        "sanded, and does not save them\n";
  out += fmt::format("  sanding rates: {}; specific energy {} N/mm2: {}\n", job.shop.sand_rates.source,
                     format_range(job.shop.material.specific_energy, 0), job.shop.material.energy_source);
  return wrap_long_lines(out, 110);
}

}  // namespace ovolo::io
