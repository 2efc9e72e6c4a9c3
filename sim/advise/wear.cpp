#include "sim/advise/wear.hpp"

#include <algorithm>
#include <cmath>

#include "sim/advise/chi_square.hpp"
#include "sim/bit/forms.hpp"
#include "sim/bit/worn.hpp"
#include "sim/error.hpp"

namespace ovolo {

double Wear::error_at(double at) const {
  const double t = at - now;
  return std::sqrt(std::max(
      0.0, depth_now_error * depth_now_error - 2 * t * covariance + t * t * loss_error * loss_error));
}

Wear::Reach Wear::reaches(double depth) const {
  constexpr int kSteps = 400;
  constexpr double kFar = 20, kSure = 1.96;
  const double far = kFar * std::max(1.0, now - readings.front().at);
  const auto first = [&](double sign) -> std::optional<double> {
    const auto above = [&](double t) { return depth_at(now + t) + sign * kSure * error_at(now + t) - depth; };
    if (above(0) <= 0) return now;
    for (int i = 1; i <= kSteps; ++i) {
      double lo = far * (i - 1) / kSteps, hi = far * i / kSteps;
      if (above(hi) > 0) continue;
      for (int k = 0; k < 60; ++k) {
        const double m = (lo + hi) / 2;
        (above(m) > 0 ? lo : hi) = m;
      }
      return now + hi;
    }
    return std::nullopt;
  };
  return {first(0), first(-1), first(1)};
}

Wear fit_wear(std::vector<WearReading> readings) {
  std::stable_sort(readings.begin(), readings.end(),
                   [](const WearReading& a, const WearReading& b) { return a.at < b.at; });
  if (readings.size() < 2 || !(readings.back().at > readings.front().at))
    throw JobError("wear needs readings of the working depth from two days or more");
  Wear out;
  out.now = readings.back().at;
  double w = 0, wt = 0, wtt = 0, wd = 0, wtd = 0;
  for (const WearReading& r : readings) {
    if (!(r.error > 0)) throw JobError("each reading needs an error above 0");
    const double weight = 1 / (r.error * r.error), t = r.at - out.now;
    w += weight;
    wt += weight * t;
    wtt += weight * t * t;
    wd += weight * r.depth;
    wtd += weight * t * r.depth;
  }
  const double det = w * wtt - wt * wt;
  out.depth_now = (wtt * wd - wt * wtd) / det;
  out.loss = -(w * wtd - wt * wd) / det;
  out.depth_now_error = std::sqrt(wtt / det);
  out.loss_error = std::sqrt(w / det);
  out.covariance = wt / det;
  out.readings = std::move(readings);
  double chi = 0;
  for (const WearReading& r : out.readings) chi += std::pow((r.depth - out.depth_at(r.at)) / r.error, 2);
  out.chance = chi_square_tail(chi, static_cast<int>(out.readings.size()) - 2);
  return out;
}

std::optional<WearLimit> wear_limit(const EdgeCase& edge, double depth, double offset) {
  if (!edge.bit.roundover) return std::nullopt;
  const Roundover& bit = *edge.bit.roundover;
  const auto broken = [&](double lost) {
    EdgeCase later = edge;
    later.bit.profile = point_roundover(worn(bit, lost), edge.deepest() + 1);
    return later.broken(later.measure(depth, offset));
  };
  if (!broken(0).empty()) return std::nullopt;
  constexpr int kSteps = 100;
  const double step = bit.working_depth / kSteps;
  int steps = 1;
  while (steps <= kSteps && broken(step * steps).empty()) ++steps;
  if (steps > kSteps) return std::nullopt;
  double lo = step * (steps - 1), hi = step * steps;
  for (int i = 0; i < 50; ++i) {
    const double m = (lo + hi) / 2;
    (broken(m).empty() ? lo : hi) = m;
  }
  WearLimit limit{bit.working_depth - hi, Wish::limit};
  const WishSet set = broken(hi);
  for (int i = kWishes; i-- > 0;)
    if (set.has(static_cast<Wish>(i))) limit.breaks = static_cast<Wish>(i);
  return limit;
}

}  // namespace ovolo
