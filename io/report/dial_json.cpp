#include <nlohmann/json.hpp>
#include <numbers>

#include "io/json_text.hpp"
#include "io/report/decimals.hpp"
#include "io/report/dial.hpp"
#include "io/version.hpp"

namespace ovolo::io {
namespace {

using Json = nlohmann::ordered_json;

Json some(const std::optional<double>& v, double factor = 1) {
  return v ? Json(mm(*v * factor)) : Json(nullptr);
}

Json measures(const SectionMeasures& m) {
  constexpr double kDegrees = 180 / std::numbers::pi;
  return {{"lip_height_mm", some(m.lip)},
          {"band_width_mm", some(m.band)},
          {"face_break_deg", some(m.face_break, kDegrees)},
          {"wall_break_deg", some(m.wall_break, kDegrees)},
          {"foot_depth_mm", some(m.foot_depth)},
          {"gouge_mm2", mm(m.gouge)},
          {"excess_mm2", mm(m.excess)},
          {"blend_mm2", mm(m.blend)}};
}

Json side(const DialSide& s) {
  return {{"room_mm", mm(s.room.distance)},
          {"breaks", s.room.breaks == Wish::limit ? Json(nullptr) : Json(name_of(s.room.breaks))},
          {"beyond_mm", mm(s.beyond)},
          {"there", measures(s.there)}};
}

Json edge(const Job& job, const DialedEdge& d) {
  const Operation& op = job.operations[d.operation];
  Json out = {{"operation", op.name}, {"bit", job.bits[op.bit].id}};
  if (!d.unanswered.empty()) {
    out["unanswered"] = d.unanswered;
    return out;
  }
  Json broken = Json::object();
  for (int i = 0; i < kWishes; ++i)
    broken[name_of(static_cast<Wish>(i))] = fine(d.failures[static_cast<std::size_t>(i)]);
  Json conflicts = Json::array(), aside = Json::array();
  for (const Conflict& c : d.conflicts) {
    Json wishes = Json::array();
    for (const Wish w : c.wishes) wishes.push_back(name_of(w));
    conflicts.push_back({{"wishes", wishes}, {"cures", c.cures}});
  }
  for (const Wish w : d.set_aside) aside.push_back(name_of(w));
  out.update(
      {{"depth_mm", mm(d.depth)},
       {"offset_mm", mm(d.offset)},
       {"chance", fine(1 - d.failure)},
       {"broken_chance", broken},
       {"measures", measures(d.measures)},
       {"window",
        {{"deeper", side(d.deeper)},
         {"shallower", side(d.shallower)},
         {"outward", side(d.outward)},
         {"inward", side(d.inward)}}},
       {"deviation", {{"depth_mm", mm(d.depth_sigma)}, {"offset_mm", mm(d.offset_sigma)}}},
       {"face", {{"above_mm", mm(d.face.up)}, {"below_mm", mm(d.face.down)}}},
       {"now",
        {{"depth_mm", mm(op.depth)}, {"offset_mm", mm(op.offset)}, {"chance", fine(1 - d.failure_now)}}},
       {"chance_with_a_third_of",
        {{"z_error", fine(1 - d.failure_with_better_zero)},
         {"reading_error", fine(1 - d.failure_with_better_readings)}}},
       {"conflicts", conflicts},
       {"set_aside", aside}});
  return out;
}

}  // namespace

std::string dial_json(const Job& job, const std::vector<DialedEdge>& dialed, const SettingErrors& errors,
                      const std::vector<std::string>& pictures) {
  Json edges = Json::array();
  for (const DialedEdge& d : dialed) edges.push_back(edge(job, d));
  const Json report = {{"ovolo", {{"version", version()}, {"dial", 1}}},
                       {"scene", {{"title", job.title}, {"file", job.file}}},
                       {"errors",
                        {{"zero_on", errors.zero_on == ZeroOn::face ? "face" : "spoilboard"},
                         {"z_mm", errors.z},
                         {"xy_mm", errors.xy},
                         {"runout_mm", errors.runout},
                         {"thickness_mm", errors.thickness},
                         {"readings_mm", errors.readings ? Json(*errors.readings) : Json(nullptr)}}},
                       {"edges", edges},
                       {"pictures", pictures}};
  return json_file(report);
}

}  // namespace ovolo::io
