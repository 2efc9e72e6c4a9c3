#include "io/report/compare.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <nlohmann/json.hpp>
#include <numbers>

#include "io/in_units.hpp"
#include "io/json_text.hpp"
#include "io/report/decimals.hpp"
#include "io/report/shop.hpp"
#include "io/version.hpp"

namespace ovolo::io {
namespace {

using Json = nlohmann::ordered_json;
using Figures = StrategyFigures;

constexpr double kDegrees = 180 / std::numbers::pi;

/// One line of the table.
struct Row {
  const char* name;
  std::function<std::string(const Figures&)> value;
};

std::string known(const std::optional<double>& v, double scale, int decimals, const char* unit) {
  return v ? fmt::format("{:.{}f} {}", *v * scale, decimals, unit) : "-";
}

std::vector<Row> rows(InUnits say, const std::string& currency) {
  const std::string money = currency.empty() ? "" : " " + currency;
  const auto share = [](auto of) {
    return [of](const Figures& f) { return f.part ? of(*f.part) : std::string("-"); };
  };
  return {
      {"within the wishes", [](const Figures& f) { return std::string(f.good ? "yes" : "no"); }},
      {"lip height", [say](const Figures& f) { return f.lip ? say.fine(*f.lip) : "-"; }},
      {"flat band", [say](const Figures& f) { return f.band ? say.both(*f.band) : "-"; }},
      {"face break", [](const Figures& f) { return known(f.face_break, kDegrees, 2, "deg"); }},
      {"wall break", [](const Figures& f) { return known(f.wall_break, kDegrees, 2, "deg"); }},
      {"passes", [](const Figures& f) { return fmt::format("{}", f.passes); }},
      {"chip load per tooth", [say](const Figures& f) { return say.length(f.chip_load, 4); }},
      {"  with the runout up to", [say](const Figures& f) { return say.length(f.high_chip, 4); }},
      {"taken across the path", [say](const Figures& f) { return say.area(f.section); }},
      {"cutting power", [](const Figures& f) { return format_range(f.power, 0) + " W"; }},
      {"tallest feed mark",
       [say](const Figures& f) { return f.tallest_mark ? say.fine(*f.tallest_mark) : "-"; }},
      {"tip load, % of strength",
       [](const Figures& f) { return f.tip_index ? format_range(*f.tip_index, 1) : "-"; }},
      {"sanding", [](const Figures& f) { return std::string(name_of(f.sanding)); }},
      {"edge to go over", [say](const Figures& f) { return say.length(f.sanded_length, 0); }},
      {"machine, per part",
       share([](const CostShare& c) { return fmt::format("{:.2f} min", c.machine_minutes); })},
      {"sanding, per part",
       share([](const CostShare& c) { return format_range(c.sanding_minutes, 2) + " min"; })},
      {"cost of a part", share([money](const CostShare& c) { return format_range(c.total, 2) + money; })},
      {"cost of the batch",
       [money](const Figures& f) {
         return f.batch ? format_range(f.batch->total, 2) + money : std::string("-");
       }},
  };
}

double tenth(double v) { return in_steps(v, 10); }

template <class Convert>
Json maybe(const std::optional<double>& v, Convert convert) {
  return v ? Json(convert(*v)) : Json(nullptr);
}

Json figures_json(const Candidate& c, const Figures& f) {
  const auto degrees = [](double v) { return mm(v * kDegrees); };
  return {{"name", f.name},
          {"file", c.job.file},
          {"good", f.good},
          {"verdict", c.measures.verdict.text},
          {"lip_height_mm", maybe(f.lip, mm)},
          {"band_width_mm", maybe(f.band, mm)},
          {"face_break_deg", maybe(f.face_break, degrees)},
          {"wall_break_deg", maybe(f.wall_break, degrees)},
          {"passes", f.passes},
          {"chip_load_mm", mm(f.chip_load)},
          {"high_flute_chip_mm", mm(f.high_chip)},
          {"section_mm2", mm(f.section)},
          {"rate_mm3_s", mm(f.rate)},
          {"tallest_mark_mm", maybe(f.tallest_mark, fine)},
          {"tip_index", f.tip_index ? Json(tenth(f.tip_index->value)) : Json(nullptr)},
          {"sanding", name_of(f.sanding)},
          {"sanded_length_mm", mm(f.sanded_length)},
          {"shop", shop_json(c.job, c.shop)}};
}

Json ranking_json(const Ranking& r, const std::vector<Figures>& figures, const std::string& reason) {
  Json places = Json::array();
  for (const auto& place : r.places) {
    Json names = Json::array();
    for (const std::size_t i : place) names.push_back(figures[i].name);
    places.push_back(names);
  }
  return {{"places", places}, {"decided", r.decided()}, {"reason", reason}};
}

}  // namespace

std::string compare_text(const std::vector<Candidate>& candidates, const StrategyComparison& comparison) {
  constexpr std::size_t kLabel = 26;
  std::size_t width = 22;
  const Job& first = candidates.front().job;
  const InUnits say(first.inch);
  const std::vector<Row> table = rows(say, first.shop.rates.currency);
  for (const Figures& f : comparison.figures)
    for (const Row& row : table) width = std::max(width, row.value(f).size() + 2);
  std::string out;
  for (std::size_t i = 0; i < comparison.figures.size(); ++i)
    out += fmt::format("{}: {}\n", static_cast<char>('A' + i % 26), comparison.figures[i].name);
  out += fmt::format("\n{:<{}}", "", kLabel);
  for (std::size_t i = 0; i < comparison.figures.size(); ++i)
    out += fmt::format("{:<{}}", static_cast<char>('A' + i % 26), width);
  for (const Row& row : table) {
    out += fmt::format("\n{:<{}}", row.name, kLabel);
    for (const Figures& f : comparison.figures) out += fmt::format("{:<{}}", row.value(f), width);
  }
  out += "\n\n";
  for (const std::string& reason : comparison.reasons) out += say.sentence(reason) + "\n";
  for (std::size_t i = 0; i < candidates.size(); ++i)
    for (const EdgeFinish& edge : candidates[i].shop.edges)
      for (const std::string& text : edge.sanding.beyond)
        out += fmt::format("{}: {}\n", static_cast<char>('A' + i % 26), say.sentence(text));
  const ShopInputs& in = candidates.front().job.shop;
  out += fmt::format(
      "Sanding rates: {}. Energy to cut the material: {}. The tip load tells how hard the bit is bent where "
      "it is "
      "weakest, in % of the strength assumed for it; it compares ways to cut and promises nothing. What "
      "differs "
      "by less than 10 % (marks, tip load) or 3 % (cost) is not ranked.{}\n",
      in.sand_rates.source, in.material.energy_source,
      in.rates.currency.empty() ? " Costs are in the money of your rates." : "");
  for (std::string::size_type i = 0; (i = out.find(" \n", i)) != std::string::npos;) {
    out.erase(i, 1);
    if (i > 0) --i;
  }
  return out;
}

std::string compare_json(const std::vector<Candidate>& candidates, const StrategyComparison& comparison) {
  Json strategies = Json::array();
  for (std::size_t i = 0; i < candidates.size(); ++i)
    strategies.push_back(figures_json(candidates[i], comparison.figures[i]));
  const auto rule = [](const RankRule& r, const char* unit) {
    return Json{{"share", r.share}, {"floor", r.floor}, {"floor_unit", unit}};
  };
  const Json out{{"ovolo", {{"version", version()}, {"comparison", 1}}},
                 {"strategies", strategies},
                 {"best",
                  {{"finish", ranking_json(comparison.finish, comparison.figures, comparison.reasons[0])},
                   {"tip", ranking_json(comparison.tip, comparison.figures, comparison.reasons[1])},
                   {"cost", ranking_json(comparison.cost, comparison.figures, comparison.reasons[2])}}},
                 {"rules",
                  {{"finish", rule(kFinishRule, "mm")},
                   {"tip", rule(kTipRule, "index")},
                   {"cost", rule(kCostRule, "money")}}}};
  return json_file(out);
}

}  // namespace ovolo::io
