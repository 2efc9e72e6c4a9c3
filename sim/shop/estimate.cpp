#include "sim/shop/estimate.hpp"

#include <algorithm>

#include "sim/measure/folded_measures.hpp"
#include "sim/parallel.hpp"
#include "sim/shop/section_marks.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo {
namespace {

constexpr std::size_t kMarkedStations = 16;  // along one edge
constexpr double kBeyondRound = 1;           // mm of face that a section for marks still takes in

/// Indices of the stations whose marks are worked out.
std::vector<std::size_t> marked_stations(const EdgeMeasures& edge) {
  std::vector<std::size_t> all;
  for (std::size_t i = 0; i < edge.stations.size(); ++i)
    if (edge.stations[i].kind == StationKind::edge) all.push_back(i);
  if (all.size() <= kMarkedStations) return all;
  std::vector<std::size_t> some;
  for (std::size_t k = 0; k < kMarkedStations; ++k) some.push_back(all[k * all.size() / kMarkedStations]);
  return some;
}

/// Marks for every station: those of the last marked one at or before it, else of the first.
std::vector<CurveMarks> spread(const std::vector<std::size_t>& at, const std::vector<CurveMarks>& marks,
                               std::size_t stations) {
  std::vector<CurveMarks> out(stations);
  for (std::size_t i = 0, k = 0; i < stations && !at.empty(); ++i) {
    while (k + 1 < at.size() && at[k + 1] <= i) ++k;
    out[i] = marks[k];
  }
  return out;
}

/// The tallest marks of an edge, and all stations' in `every`, where asked for.
EdgeFinish marks_of(const Job& job, const Plan& plan, const MoveIndex& index, const EdgeMeasures& edge,
                    std::vector<CurveMarks>* every) {
  const std::vector<std::size_t> at = marked_stations(edge);
  std::vector<CurveMarks> marks(at.size());
  parallel_for(at.size(), [&](std::size_t k) {
    const Station& station = edge.stations[at[k]];
    const bool folded = needs_voxels(job);
    const SectionLine line{station.point, station.normal,
                           folded ? station.reach : station.measures.round_width + kBeyondRound};
    Section section = SectionMaker(job, plan, index).make(line);
    if (folded && from_below(edge)) section = turned_section(section);
    if (folded)  // only what this operation moulded, from the foot up
      std::erase_if(section.pieces, [&](const SectionPiece& p) {
        return p.operation != static_cast<std::int32_t>(edge.operation);
      });
    marks[k] = section_marks(job, plan, section, line, job.shop.machine.runout);
  });
  EdgeFinish finish;
  finish.operation = edge.operation;
  finish.contour = edge.contour;
  for (std::size_t k = 0; k < at.size(); ++k)
    if (finish.marks.points.empty() || marks[k].tallest > finish.marks.tallest) {
      finish.marks = marks[k];
      finish.marks_at = edge.stations[at[k]].point;
    }
  if (finish.marks.tallest <= 0 && !finish.marks.open) finish.marks = {};  // no feed or no spindle speed
  if (every) *every = spread(at, marks, edge.stations.size());
  return finish;
}

EdgeFinish finish_of(const Job& job, const Plan& plan, const MoveIndex& index, const EdgeMeasures& edge) {
  std::vector<CurveMarks> every;
  EdgeFinish finish = marks_of(job, plan, index, edge, &every);
  finish.sanding = sand_edge(edge, every, job, job.shop.sand_limits);
  return finish;
}

LoadOptions load_options(const ShopInputs& shop) {
  LoadOptions how;
  how.runout = shop.machine.runout;
  how.tip = shop.tip;
  return how;
}

/// Does a later edge operation measure the same surface?
bool measured_again(const Measures& measures, std::size_t i) {
  const EdgeMeasures& edge = measures.edges[i];
  for (std::size_t k = i + 1; k < measures.edges.size(); ++k) {
    const EdgeMeasures& later = measures.edges[k];
    if (later.operation != edge.operation && later.contour == edge.contour && later.copies == edge.copies &&
        (later.face == edge.face || later.other || edge.other))
      return true;
  }
  return false;
}

std::vector<std::string> without_settings(const Job& job, const Plan& plan) {
  std::vector<bool> missing(job.operations.size(), false);
  for (const Move& m : plan.moves)
    if (m.role != MoveRole::rapid && !(m.feed > 0 && m.spindle > 0)) missing[m.operation] = true;
  std::vector<std::string> names;
  for (std::size_t i = 0; i < missing.size(); ++i)
    if (missing[i]) names.push_back(job.operations[i].name);
  return names;
}

bool all_have_feed(const Plan& plan) {
  return std::all_of(plan.moves.begin(), plan.moves.end(),
                     [](const Move& m) { return m.role == MoveRole::rapid || m.feed > 0; });
}

}  // namespace

ShopEstimate estimate(const Job& job, const Plan& plan, const MoveIndex& index, const Measures& measures) {
  const ShopInputs& shop = job.shop;
  ShopEstimate out;
  out.missing = without_settings(job, plan);
  out.loads = pass_loads(job, plan, shop.material, load_options(shop));
  out.warnings = load_warnings(job, out.loads, shop.material);
  std::vector<EdgeSanding> sanding;
  for (std::size_t i = 0; i < measures.edges.size(); ++i) {
    out.edges.push_back(finish_of(job, plan, index, measures.edges[i]));
    out.edges.back().shared = measured_again(measures, i);
    if (!out.edges.back().shared) sanding.push_back(out.edges.back().sanding);
  }
  out.sanding = sand_time(sanding, shop.rates.parts_per_sheet, shop.sand_rates);
  if (all_have_feed(plan)) {
    out.time = plan_time(job, plan, shop.machine);
    out.cost = cost(out.time->total, out.sanding.seconds, out.sanding.sheets, shop.rates);
  }
  return out;
}

ShopEstimate estimate_edge(const Job& job, const Plan& plan, const MoveIndex& index, std::uint32_t operation,
                           const std::vector<EdgeMeasures>& edges) {
  const ShopInputs& shop = job.shop;
  ShopEstimate out;
  out.missing = without_settings(job, plan);
  LoadOptions how = load_options(shop);
  how.only = operation;
  out.loads = pass_loads(job, plan, shop.material, how);
  out.warnings = load_warnings(job, out.loads, shop.material);
  for (const EdgeMeasures& edge : edges) out.edges.push_back(marks_of(job, plan, index, edge, nullptr));
  if (all_have_feed(plan)) out.time = plan_time(job, plan, shop.machine);
  return out;
}

}  // namespace ovolo
