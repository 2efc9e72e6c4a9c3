#include "sim/shop/compare.hpp"
#include "sim/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ovolo {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

void worst(std::optional<double>& all, const std::optional<Stat>& one) {
  if (one) all = std::max(all.value_or(one->max), one->max);
}

StrategyFigures figures_of(const Candidate& c) {
  StrategyFigures f;
  f.name = c.name;
  f.good = c.measures.verdict.good;
  std::vector<bool> moulds(c.job.operations.size(), false);
  for (const EdgeMeasures& edge : c.measures.edges) {
    moulds[edge.operation] = true;
    worst(f.lip, edge.lip);
    worst(f.band, edge.band);
    worst(f.face_break, edge.face_break);
    worst(f.wall_break, edge.wall_break);
  }
  for (const PassLoad& p : c.shop.loads) {
    if (!moulds[p.operation]) continue;
    ++f.passes;
    f.chip_load = std::max(f.chip_load, p.chip_load);
    f.high_chip = std::max(f.high_chip, p.high_chip);
    f.section = std::max(f.section, p.section.max);
    f.rate = std::max(f.rate, p.rate.max);
    if (p.power.value > f.power.value) f.power = p.power;
    if (p.spindle > 0 && p.feed > 0 && (!f.tip_index || p.index.value > f.tip_index->value))
      f.tip_index = p.index;
  }
  for (const EdgeFinish& edge : c.shop.edges) {
    if (edge.shared) continue;
    if (edge.marks.marks_per_inch > 0)
      f.tallest_mark = std::max(f.tallest_mark.value_or(0), edge.marks.tallest);
    f.sanding = std::max(f.sanding, edge.sanding.worst);
    f.must_recut = f.must_recut || edge.sanding.worst == SandClass::recut || !edge.sanding.beyond.empty();
    for (std::size_t i = 1; i < kSandClasses; ++i) f.sanded_length += edge.sanding.classes[i].length;
  }
  if (c.shop.cost) {
    f.part = c.shop.cost->part;
    f.batch = c.shop.cost->batch;
  }
  return f;
}

Ranged sharp(std::optional<double> v) {
  const double x = v.value_or(kNone);
  return {x, x, x};
}

/// Who comes first, and what of the rest shares the place or falls behind.
std::string placing(const char* what, const Ranking& ranking, const std::vector<StrategyFigures>& figures,
                    const std::string& rule) {
  const auto names = [&](const std::vector<std::size_t>& place) {
    std::string text;
    for (std::size_t i = 0; i < place.size(); ++i)
      text += fmt::format("{}'{}'",
                          i == 0                  ? ""
                          : i + 1 == place.size() ? " and "
                                                  : ", ",
                          figures[place[i]].name);
    return text;
  };
  if (ranking.decided()) return fmt::format("{}: '{}' is best", what, figures[ranking.places[0][0]].name);
  if (ranking.places.size() == 1 && ranking.places[0].size() == figures.size())
    return fmt::format("{}: no difference that matters ({})", what, rule);
  return fmt::format("{}: {} are equally good ({})", what, names(ranking.places[0]), rule);
}

/// The best of the first place and the one that falls furthest behind it; false when nothing falls behind.
bool ends(const Ranking& ranking, std::size_t& best, std::size_t& last) {
  if (ranking.places.size() < 2) return false;
  best = ranking.places.front().front();
  last = ranking.places.back().back();
  return true;
}

/// Is there nothing to rank by in any of the candidates?
bool none_known(const std::vector<Ranged>& figures) {
  return std::none_of(figures.begin(), figures.end(), [](const Ranged& r) { return std::isfinite(r.value); });
}

std::string finish_reason(const Ranking& ranking, const std::vector<StrategyFigures>& all) {
  std::string text = placing("Finish", ranking, all, "marks within 10 % or 0.5 um of each other");
  std::size_t b = 0, w = 0;
  if (!ends(ranking, b, w)) return text + ".";
  const StrategyFigures &best = all[b], &last = all[w];
  if (!last.good && best.good)
    return fmt::format("{}; the edges of '{}' are not within the wishes.", text, last.name);
  if (!best.tallest_mark || !last.tallest_mark) return text + ".";
  text += fmt::format(": its feed marks stand {} high where those of '{}' stand {}",
                      micro_units(*best.tallest_mark), last.name, micro_units(*last.tallest_mark));
  if (best.chip_load < last.chip_load)
    text += fmt::format(", since it advances {} per tooth instead of {}", fine_units(best.chip_load),
                        fine_units(last.chip_load));
  return fmt::format("{}. Sanding: {} against {}.", text, name_of(best.sanding), name_of(last.sanding));
}

std::string tip_reason(const Ranking& ranking, const std::vector<StrategyFigures>& all) {
  std::string text = placing("Tip", ranking, all, "tip loads within 10 % or 0.5 of each other");
  std::size_t b = 0, w = 0;
  if (!ends(ranking, b, w) || !all[b].tip_index || !all[w].tip_index) return text + ".";
  const StrategyFigures &best = all[b], &last = all[w];
  text += fmt::format(": bent to {:.1f} % of its strength where '{}' bends it to {:.1f} %",
                      best.tip_index->value, last.name, last.tip_index->value);
  if (best.high_chip < last.high_chip)
    text += fmt::format("; with the runout one tooth takes up to {} instead of {}",
                        fine_units(best.high_chip), fine_units(last.high_chip));
  return fmt::format("{}. The most that one pass takes, across its path, is {} against {}.", text,
                     area_units(best.section), area_units(last.section));
}

std::string cost_reason(const Ranking& ranking, const std::vector<StrategyFigures>& all,
                        const std::string& currency) {
  std::string text =
      placing("Cost", ranking, all, "within 3 %, or in an order that the guessed rates could turn over");
  std::size_t b = 0, w = 0;
  if (!ends(ranking, b, w) || !all[b].part || !all[w].part) return text + ".";
  if (all[w].must_recut) return fmt::format("{}; parts cut as '{}' must be recut.", text, all[w].name);
  const CostShare &best = *all[b].part, &last = *all[w].part;
  const auto minutes = [](const CostShare& c) {
    return fmt::format("{:.1f} min of machine and {:.1f} of sanding", c.machine_minutes,
                       c.sanding_minutes.value);
  };
  return fmt::format("{}: {:.2f}{}{} a part ({}) against {:.2f} of '{}' ({}).", text, best.total.value,
                     currency.empty() ? "" : " ", currency, minutes(best), last.total.value, all[w].name,
                     minutes(last));
}

}  // namespace

StrategyComparison compare(const std::vector<Candidate>& candidates) {
  StrategyComparison out;
  std::vector<Ranged> finish, tip, cost;
  for (const Candidate& c : candidates) {
    out.figures.push_back(figures_of(c));
    const StrategyFigures& f = out.figures.back();
    finish.push_back(f.good ? sharp(f.tallest_mark) : sharp(std::nullopt));
    tip.push_back(f.tip_index.value_or(sharp(std::nullopt)));
    cost.push_back(f.part && !f.must_recut ? f.part->total : sharp(std::nullopt));
  }
  out.finish = rank(finish, kFinishRule);
  out.tip = rank(tip, kTipRule);
  out.cost = rank(cost, kCostRule);
  if (candidates.empty()) return out;
  out.reasons = {finish_reason(out.finish, out.figures), tip_reason(out.tip, out.figures),
                 cost_reason(out.cost, out.figures, candidates.front().job.shop.rates.currency)};
  const auto all = [&](auto is) { return std::all_of(out.figures.begin(), out.figures.end(), is); };
  if (none_known(finish))
    out.reasons[0] = all([](const StrategyFigures& f) { return !f.good; })
                         ? "Finish: not ranked, no edge is within the wishes."
                         : "Finish: not ranked, no feed marks are known.";
  if (none_known(tip)) out.reasons[1] = "Tip: not ranked, set feed and spindle.";
  if (none_known(cost))
    out.reasons[2] = all([](const StrategyFigures& f) { return f.must_recut; })
                         ? "Cost: not ranked, the parts must be recut."
                         : "Cost: not ranked, it is not known.";
  return out;
}

}  // namespace ovolo
