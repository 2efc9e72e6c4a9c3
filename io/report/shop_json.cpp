#include <cmath>
#include <nlohmann/json.hpp>

#include "io/report/decimals.hpp"
#include "io/report/shop.hpp"

namespace ovolo::io {
namespace {

using Json = nlohmann::ordered_json;

double round_to(double v, double step) { return std::round(v / step) * step + 0.0; }
double tenth(double v) { return in_steps(v, 10); }
double cents(double v) { return in_steps(v, 100); }
Json point(Vec2 p) { return Json::array({mm(p.x), mm(p.y)}); }

template <class Convert>
Json ranged(const Ranged& r, Convert convert) {
  return {{"low", convert(r.low)}, {"value", convert(r.value)}, {"high", convert(r.high)}};
}

Json along(const AlongPass& a) {
  return {{"mean", mm(a.mean)}, {"max", mm(a.max)}, {"worst_at", point(a.worst_at)}};
}

Json pass_json(const Job& job, const PassLoad& p, const ShopEstimate& shop) {
  Json out{{"operation", job.operations[p.operation].name},
           {"pass", p.pass + 1},
           {"bit", job.bits[p.bit].id},
           {"length_mm", mm(p.length)},
           {"section_mm2", along(p.section)},
           {"rate_mm3_s", along(p.rate)},
           {"volume_mm3", mm(p.volume)},
           {"chip_load_mm", mm(p.chip_load)},
           {"high_flute_chip_mm", mm(p.high_chip)},
           {"width_mm", mm(p.width)},
           {"depth_mm", mm(p.depth)},
           {"tip_speed_m_s", mm(p.inner_speed)},
           {"rim_speed_m_s", mm(p.outer_speed)},
           {"power_w", ranged(p.power, tenth)},
           {"plunge_mm", mm(p.plunge)},
           {"tip",
            {{"index", ranged(p.index, tenth)},
             {"stress_n_mm2", tenth(p.tip.stress)},
             {"force_n", mm(p.tip.force)},
             {"height_mm", mm(p.tip.height)},
             {"at", point(p.tip_at)}}}};
  if (!shop.time) return out;
  for (const PassTime& t : shop.time->passes)
    if (t.operation == p.operation && t.pass == p.pass)
      out["seconds"] = {{"cutting", cents(t.cutting)},
                        {"entering", cents(t.entering)},
                        {"crossing", cents(t.crossing)},
                        {"at_full_feed", cents(t.at_feed)}};
  return out;
}

Json operations_json(const Job& job, const PlanTime& time) {
  Json out = Json::array();
  for (std::size_t i = 0; i < job.operations.size(); ++i) {
    double seconds = 0;
    for (const PassTime& pass : time.passes)
      if (pass.operation == i) seconds += pass.seconds();
    if (job.operations[i].kind == OperationKind::turn) seconds += job.operations[i].turn.time;
    out.push_back({{"operation", job.operations[i].name}, {"seconds", cents(seconds)}});
  }
  return out;
}

Json marks_json(const EdgeFinish& e) {
  if (e.marks.points.empty()) return nullptr;
  Json bands = Json::array();
  for (const MarkBand& b : e.marks.bands)
    bands.push_back({{"from_mm", mm(b.s0)},
                     {"to_mm", mm(b.s1)},
                     {"rt_mm", fine(b.rt)},
                     {"ra_mm", fine(b.ra)},
                     {"rz_mm", fine(b.rz)},
                     {"nearest_tip", b.nearest_tip},
                     {"overlap", !b.open}});
  const MarkGrade grade = mark_grade(e.marks.marks_per_inch);
  return {{"tallest_mm", fine(e.marks.tallest)},
          {"tallest_at_section", point(e.marks.tallest_at)},
          {"station", point(e.marks_at)},
          {"marks_per_inch", tenth(e.marks.marks_per_inch)},
          {"grade", grade == MarkGrade::custom_and_premium ? "custom and premium"
                    : grade == MarkGrade::economy          ? "economy"
                                                           : "none"},
          {"bands", bands}};
}

Json sanding_json(const EdgeSanding& s) {
  Json classes = Json::array(), grits = Json::array();
  for (std::size_t i = 0; i < kSandClasses; ++i)
    classes.push_back({{"class", name_of(static_cast<SandClass>(i))},
                       {"length_mm", mm(s.classes[i].length)},
                       {"volume_mm3", mm(s.classes[i].volume)}});
  for (const GritWork& g : s.grits)
    grits.push_back({{"grit", g.number}, {"length_mm", mm(g.length)}, {"volume_mm3", mm(g.volume)}});
  return {{"worst", name_of(s.worst)},         {"classes", classes},        {"grits", grits},
          {"p120_work_mm3", mm(s.equivalent)}, {"stroke_mm", mm(s.stroke)}, {"cannot_mend", s.beyond}};
}

Json share_json(const CostShare& c) {
  const auto minutes = [](double v) { return round_to(v, 0.001); };
  return {{"machine_minutes", minutes(c.machine_minutes)},
          {"set_up_minutes", minutes(c.set_up_minutes)},
          {"sanding_minutes", ranged(c.sanding_minutes, minutes)},
          {"abrasive_sheets", mm(c.sheets)},
          {"machine", cents(c.machine)},
          {"sanding", ranged(c.sanding, cents)},
          {"total", ranged(c.total, cents)}};
}

}  // namespace

Json shop_json(const Job& job, const ShopEstimate& shop) {
  const ShopInputs& in = job.shop;
  Json passes = Json::array(), finish = Json::array();
  for (const PassLoad& p : shop.loads) passes.push_back(pass_json(job, p, shop));
  for (const EdgeFinish& e : shop.edges) {
    Json edge{
        {"operation", job.operations[e.operation].name}, {"contour", e.contour}, {"marks", marks_json(e)}};
    edge["sanding"] = e.shared ? Json(nullptr) : sanding_json(e.sanding);
    finish.push_back(edge);
  }
  Json out{{"passes", passes}, {"finish", finish}};
  out["time"] = shop.time ? Json{{"total_s", cents(shop.time->total)},
                                 {"bit_changes", shop.time->bit_changes},
                                 {"changing_s", cents(shop.time->changing)},
                                 {"turning_s", cents(shop.time->turning)},
                                 {"operations", operations_json(job, *shop.time)}}
                          : Json(nullptr);
  out["sanding"] = {{"seconds", ranged(shop.sanding.seconds, tenth)},
                    {"abrasive_sheets", mm(shop.sanding.sheets)},
                    {"parts", in.rates.parts_per_sheet},
                    {"rates_from", in.sand_rates.source}};
  out["cost"] = shop.cost ? Json{{"currency", in.rates.currency},
                                 {"batch", in.rates.batch},
                                 {"part", share_json(shop.cost->part)},
                                 {"whole_batch", share_json(shop.cost->batch)}}
                          : Json(nullptr);
  out["without_feed_or_spindle"] = shop.missing;
  out["assumed"] = {{"specific_energy_n_mm2", ranged(in.material.specific_energy, mm)},
                    {"specific_energy_from", in.material.energy_source},
                    {"runout_mm", mm(in.machine.runout)},
                    {"tip_core", in.tip.core},
                    {"tip_shock", in.tip.shock},
                    {"tip_strength_n_mm2", in.tip.strength}};
  return out;
}

}  // namespace ovolo::io
