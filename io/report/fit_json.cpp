#include <nlohmann/json.hpp>

#include "io/json_text.hpp"
#include "io/report/decimals.hpp"
#include "io/report/fit.hpp"
#include "io/version.hpp"

namespace ovolo::io {
namespace {

using Json = nlohmann::ordered_json;

Json estimate(const Estimate& e) {
  return {{"value_mm", mm(e.value)},
          {"error_mm", mm(e.error)},
          {"low95_mm", mm(e.low())},
          {"high95_mm", mm(e.high())}};
}

}  // namespace

std::string fit_json(const FitReport& r) {
  const Operation& op = r.job.operations[r.operation];
  Json zs = Json::array(), residuals = Json::array();
  for (std::size_t i = 0; i < r.fit.z.size(); ++i) {
    Json z = estimate(r.fit.z[i]);
    z["set_up"] = r.fit.set_ups[i];
    zs.push_back(z);
  }
  for (const FitResidual& res : r.fit.residuals)
    residuals.push_back({{"cut", res.cut},
                         {"what", res.what},
                         {"read_mm", mm(res.read)},
                         {"fitted_mm", mm(res.fitted)},
                         {"off", mm(res.off)}});
  Json report = {{"ovolo", {{"version", version()}, {"fit", 1}}},
                 {"bit", r.job.bits[op.bit].id},
                 {"working_depth", estimate(r.fit.working_depth)},
                 {"tip_flat", estimate(r.fit.tip_flat)},
                 {"z_error", zs},
                 {"colour_line", r.fit.line ? estimate(*r.fit.line) : Json(nullptr)},
                 {"chi_square", mm(r.fit.chi_square)},
                 {"freedom", r.fit.freedom},
                 {"chance", r.fit.chance},
                 {"residuals", residuals},
                 {"contradictions", r.fit.contradictions},
                 {"doubts", r.fit.doubts}};
  if (r.dialed.unanswered.empty())
    report["settings"] = {{"operation", op.name},
                          {"depth_mm", mm(r.dialed.depth)},
                          {"offset_mm", mm(r.dialed.offset)},
                          {"chance", fine(1 - r.dialed.failure)}};
  return json_file(report);
}

}  // namespace ovolo::io
