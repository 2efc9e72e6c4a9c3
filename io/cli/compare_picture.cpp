#include "io/cli/compare_picture.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <deque>

#include "io/cli/edge_close_up.hpp"
#include "io/cli/terminal.hpp"
#include "io/in_units.hpp"
#include "render/compare_picture.hpp"
#include "render/png.hpp"
#include "sim/measure/folded_measures.hpp"
#include "sim/measure/section.hpp"

namespace ovolo::cli {
namespace {

/// The edge with the tallest marks, the first when none has any.
std::size_t shown_edge(const ShopEstimate& shop) {
  std::size_t best = 0;
  for (std::size_t i = 1; i < shop.edges.size(); ++i)
    if (!shop.edges[i].shared &&
        (shop.edges[best].shared || shop.edges[i].marks.tallest > shop.edges[best].marks.tallest))
      best = i;
  return best;
}

const Station& shown_station(const EdgeMeasures& edge, Vec2 at) {
  return *std::min_element(
      edge.stations.begin(), edge.stations.end(),
      [&](const Station& a, const Station& b) { return distance(a.point, at) < distance(b.point, at); });
}

}  // namespace

std::string draw_comparison(const std::vector<const Worked*>& worked, const StrategyComparison& comparison) {
  std::deque<Section> sections;
  std::deque<WantedForm> wanted;
  std::deque<Stock> stocks;  // as they lie in the drawings
  std::vector<render::ComparePanel> panels;
  for (const Worked* w : worked) {
    const Job& job = w->scene.job;
    const std::size_t k = shown_edge(w->shop);
    const EdgeMeasures& edge = w->measures.edges.at(k);
    const Station& station = shown_station(edge, w->shop.edges[k].marks_at);
    const Operation& op = job.operations[edge.operation];
    wanted.push_back(wanted_form(op, job.bits[op.bit]));
    sections.push_back(SectionMaker(job, w->scene.plan, w->scene.index)
                           .make({station.point, station.normal, station.reach}));
    stocks.push_back(job.stock);
    if (from_below(edge)) {
      sections.back() = turned_section(sections.back());
      stocks.back() = turned_stock(job.stock);
    }
    constexpr int kWidth = 900;
    const CloseUpLook look{kWidth, static_cast<int>(kWidth / render::kCloseUpAspect), "", false,
                           check_interrupt};
    panels.push_back({sections.back(), stocks.back(), wanted.back(), w->shop.edges[k].marks,
                      w->measures.verdict.text,
                      edge_close_up(job, w->scene.plan, w->scene.index, edge, station, look)});
  }
  const Job& first = worked.front()->scene.job;
  const std::string note = fmt::format(
      "Bars: the likely value; thin lines with ends: its range. Sanding rates: {}. Energy to cut the "
      "material: {}. The tip load, in % of "
      "the strength assumed for the bit, compares ways to cut and promises nothing. What differs by less "
      "than 10 % (marks, tip load) or "
      "3 % (cost) is not ranked.",
      first.shop.sand_rates.source, first.shop.material.energy_source);
  return render::encode_png(render::draw_compare(
      {first.title, std::move(panels), comparison, first.shop.rates.batch, first.shop.rates.currency, note,
       [say = io::InUnits(first.inch)](std::string_view text) { return say.sentence(text); }}));
}

}  // namespace ovolo::cli
