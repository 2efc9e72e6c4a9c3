#include "io/try/whole_cut.hpp"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <optional>
#include <vector>

#include "io/json_text.hpp"
#include "io/report/walk.hpp"
#include "sim/error.hpp"
#include "sim/measure/folded_measures.hpp"
#include "sim/measure/quick_look.hpp"
#include "sim/measure/standing.hpp"
#include "sim/measure/verdict.hpp"
#include "sim/path/move_index.hpp"
#include "sim/path/plan.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo::io {
namespace {

using Json = nlohmann::ordered_json;

// The worst place, the first in the second half of the contour where all are alike.
std::optional<std::size_t> shown_place(const EdgeMeasures& edge, const Job& job, const WantedForm& wanted) {
  std::optional<std::size_t> best;
  double most = 0;
  const std::size_t n = edge.stations.size();
  for (std::size_t k = 0; k < n; ++k) {
    const std::size_t i = (n / 2 + k) % n;
    const Station& s = edge.stations[i];
    if (s.kind != StationKind::edge || s.weight <= 0) continue;
    const double bad = standing(s.measures, job.wishes, wanted, job.stock).ratio;
    if (best && bad <= most + 1e-6) continue;
    best = i;
    most = bad;
  }
  return best;
}

// A walk's row of numbers, named.
Json named(const Json& columns, const Json& row) {
  Json out = Json::object();
  for (std::size_t i = 0; i < columns.size() && i < row.size(); ++i)
    out[columns[i].get<std::string>()] = row[i];
  return out;
}

}  // namespace

std::size_t quick_places(const Job& job) { return needs_voxels(job) ? 24 : 500; }

std::string whole_cut_json(const Job& job, std::uint32_t operation) {
  const Plan plan = make_plan(job);
  const MoveIndex index(plan, job);
  const Measures measures = quick_look(job, plan, index, operation, quick_places(job));
  const Operation& op = job.operations[operation];
  const WantedForm wanted = wanted_form(op, job.bits[op.bit]);
  std::optional<std::size_t> shown;
  if (!measures.edges.empty()) shown = shown_place(measures.edges.front(), job, wanted);
  if (!shown) throw JobError("the bit cannot enter anywhere along this contour", static_cast<int>(operation));
  const EdgeMeasures& edge = measures.edges.front();

  const Json walk = json_of(walk_json(job, plan, index, measures, {shown}, 1)).at("walk").at(0);
  Json station = named(walk.at("columns"), walk.at("stations").at(walk.at("shown").get<std::size_t>()));
  Json across = nullptr;
  if (!station.at("across").is_null())
    across = walk.at("sections").at(station.at("across").get<std::size_t>());
  Json warnings = Json::array();
  for (const Warning& w : measures.warnings) warnings.push_back(w.text);
  const bool turned = needs_voxels(job) && from_below(edge);
  Json out{{"wanted", walk.at("wanted")},
           {"pieces", walk.at("sections").at(station.at("section").get<std::size_t>())},
           {"across", across},
           {"station", station},
           {"folded", walk.at("folded")},
           {"both", edge.other.has_value()},
           {"turned", turned},
           {"verdict", {{"good", edge.verdict.good}, {"text", edge.verdict.text}}},
           {"warnings", warnings}};
  return json_line(out);
}

}  // namespace ovolo::io
