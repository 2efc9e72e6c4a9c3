#include <nlohmann/json.hpp>
#include <numbers>

#include "io/json_text.hpp"
#include "io/report/batch.hpp"
#include "io/report/decimals.hpp"
#include "io/version.hpp"

namespace ovolo::io {
namespace {

using Json = nlohmann::ordered_json;

Json spread(const Spread& s, double factor = 1) {
  const auto f = [factor](double v) { return mm(v * factor); };
  Json bins = Json::array();
  for (const double b : s.bins) bins.push_back(mm(b));
  return {
      {"min", f(s.least)},        {"p5", f(s.low)},
      {"median", f(s.middle)},    {"p95", f(s.high)},
      {"max", f(s.most)},         {"mean", f(s.mean)},
      {"without", mm(s.without)}, {"histogram", {{"from", f(s.from)}, {"to", f(s.to)}, {"shares", bins}}}};
}

Json edge_json(const Job& job, const BatchEdge& e) {
  constexpr double kDegrees = 180 / std::numbers::pi;
  Json broken = Json::object(), exposure = Json::array();
  for (int i = 0; i < kWishes; ++i)
    broken[name_of(static_cast<Wish>(i))] = mm(e.broken[static_cast<std::size_t>(i)]);
  for (std::size_t i = 0; i < e.exposure.size(); ++i)
    exposure.push_back({{"layer", job.stock.layers[i].name}, {"length_mm", spread(e.exposure[i])}});
  return {{"operation", job.operations[e.operation].name},
          {"within", mm(e.within)},
          {"broken", broken},
          {"lip_height_mm", spread(e.lip)},
          {"band_width_mm", spread(e.band)},
          {"face_break_deg", spread(e.face_break, kDegrees)},
          {"wall_break_deg", spread(e.wall_break, kDegrees)},
          {"foot_depth_mm", spread(e.foot_depth)},
          {"exposure", exposure}};
}

}  // namespace

std::string batch_json(const Job& job, const BatchResult& b, const std::vector<std::string>& pictures) {
  Json edges = Json::array(), places = Json::array();
  for (const BatchEdge& e : b.edges) edges.push_back(edge_json(job, e));
  for (const double p : b.within_by_place) places.push_back(mm(p));
  const bool due = b.metres_to_reading.has_value();
  const Json look = {
      {"first_parts", b.first_parts ? Json(*b.first_parts) : Json(nullptr)},
      {"bad_batches", mm(b.bad_batches)},
      {"bad_after_look", mm(b.bad_after_look)},
      {"passed_look", b.passed_look},
      {"metres_to_reading", due ? Json(mm(*b.metres_to_reading)) : Json(nullptr)},
      {"parts_to_reading", due ? Json(b.parts_to_reading) : Json(nullptr)},
      {"operation",
       due ? Json(job.operations[static_cast<std::size_t>(b.reading_operation)].name) : Json(nullptr)}};
  const Json report = {{"ovolo", {{"version", version()}, {"batch", 1}}},
                       {"scene", {{"title", job.title}, {"file", job.file}}},
                       {"parts", b.parts},
                       {"batches", b.batches},
                       {"seed", b.seed},
                       {"within",
                        {{"mean", mm(b.within)},
                         {"error", mm(b.within_error)},
                         {"p5", mm(b.within_low)},
                         {"p95", mm(b.within_high)},
                         {"by_tenth", places}}},
                       {"edges", edges},
                       {"not_judged", b.left_out},
                       {"sanding_hours",
                        {{"low", mm(b.sanding_hours.low)},
                         {"likely", mm(b.sanding_hours.value)},
                         {"high", mm(b.sanding_hours.high)},
                         {"p5", mm(b.sanding_low)},
                         {"p95", mm(b.sanding_high)},
                         {"feed_marks", b.marks_known}}},
                       {"look", look},
                       {"pictures", pictures}};
  return json_file(report);
}

}  // namespace ovolo::io
