#include "sim/shop/sand_fit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>

#include "sim/error.hpp"

namespace ovolo {
namespace {

enum Rate : std::size_t { handling, per_mm3, per_metre, rate_count };

struct Fit {
  double value[rate_count] = {}, error[rate_count] = {};
  double scatter = 0, correlation = 0;
  int freedom = 0;
};

double regressor(const SandTiming& t, std::size_t rate) {
  return rate == handling ? 1 : rate == per_mm3 ? t.equivalent : t.stroke / 1000;
}

/// Least squares of the seconds over the given rates, by orthogonal columns.
Fit solve(const std::vector<SandTiming>& timings, const std::vector<double>& seconds,
          const std::vector<std::size_t>& rates) {
  const std::size_t n = timings.size(), p = rates.size();
  std::vector<std::vector<double>> q(p, std::vector<double>(n));
  std::vector<std::vector<double>> r(p, std::vector<double>(p, 0));
  std::vector<double> coefficients(p, 0), rest = seconds;
  const auto dot = [n](const std::vector<double>& a, const std::vector<double>& b) {
    double sum = 0;
    for (std::size_t i = 0; i < n; ++i) sum += a[i] * b[i];
    return sum;
  };
  for (std::size_t j = 0; j < p; ++j) {
    for (std::size_t i = 0; i < n; ++i) q[j][i] = regressor(timings[i], rates[j]);
    const double before = std::sqrt(dot(q[j], q[j]));
    for (std::size_t k = 0; k < j; ++k) {
      r[k][j] = dot(q[k], q[j]);
      for (std::size_t i = 0; i < n; ++i) q[j][i] -= r[k][j] * q[k][i];
    }
    r[j][j] = std::sqrt(dot(q[j], q[j]));
    if (!(r[j][j] > 1e-4 * before))
      throw JobError(
          "the timed parts are too alike to tell the rates apart: time parts with little and with much to "
          "take off");
    for (double& v : q[j]) v /= r[j][j];
    coefficients[j] = dot(q[j], rest);
    for (std::size_t i = 0; i < n; ++i) rest[i] -= coefficients[j] * q[j][i];
  }
  // Inverse of the triangle r, by which the rates and their covariances follow.
  std::vector<std::vector<double>> inverse(p, std::vector<double>(p, 0));
  for (std::size_t j = 0; j < p; ++j) {
    inverse[j][j] = 1 / r[j][j];
    for (std::size_t i = j; i-- > 0;) {
      double sum = 0;
      for (std::size_t k = i + 1; k <= j; ++k) sum += r[i][k] * inverse[k][j];
      inverse[i][j] = -sum / r[i][i];
    }
  }
  Fit fit;
  fit.freedom = static_cast<int>(n - p);
  fit.scatter = std::sqrt(dot(rest, rest) / std::max(1, fit.freedom));
  const auto covariance = [&](std::size_t a, std::size_t b) {
    double sum = 0;
    for (std::size_t k = 0; k < p; ++k) sum += inverse[a][k] * inverse[b][k];
    return sum * fit.scatter * fit.scatter;
  };
  for (std::size_t a = 0; a < p; ++a) {
    for (std::size_t k = a; k < p; ++k) fit.value[rates[a]] += inverse[a][k] * coefficients[k];
    fit.error[rates[a]] = std::sqrt(covariance(a, a));
  }
  if (p > 1 && rates[0] == handling && covariance(0, 0) > 0)
    fit.correlation = covariance(0, 1) / std::sqrt(covariance(0, 0) * covariance(1, 1));
  return fit;
}

void check(const std::vector<SandTiming>& timings, std::size_t needed) {
  if (timings.size() < needed)
    throw JobError(fmt::format("{} timings are too few: give at least {} parts", timings.size(), needed));
  for (std::size_t i = 0; i < timings.size(); ++i) {
    const SandTiming& t = timings[i];
    if (!(std::isfinite(t.seconds) && t.seconds > 0))
      throw JobError(fmt::format("timing {}: the seconds must be above 0", i + 1));
    if (!(std::isfinite(t.equivalent) && t.equivalent >= 0 && std::isfinite(t.stroke) && t.stroke >= 0))
      throw JobError(fmt::format("timing {}: the volume and the length must be 0 or more", i + 1));
  }
}

Ranged ranged(double value, double error, int freedom) {
  const double half = student_t(freedom) * error;
  return {std::max(0.0, value - half), std::max(0.0, value), std::max(0.0, value + half)};
}

}  // namespace

double student_t(int freedom) {
  return boost::math::quantile(boost::math::students_t(std::max(1, freedom)), 0.975);
}

SandFit fit_sand_rates(const std::vector<SandTiming>& timings, const SandRates& held, bool fit_per_metre) {
  check(timings, fit_per_metre ? 4 : 3);
  std::vector<double> seconds;
  for (const SandTiming& t : timings)
    seconds.push_back(t.seconds - (fit_per_metre ? 0 : held.per_metre.value * t.stroke / 1000));
  std::vector<std::size_t> rates{handling, per_mm3};
  if (fit_per_metre) rates.push_back(per_metre);

  const Fit first = solve(timings, seconds, rates);
  Fit fit = first;
  // A rate cannot be negative: one that comes out so is 0, and the others are fitted without it.
  for (const std::size_t rate : {static_cast<std::size_t>(handling), static_cast<std::size_t>(per_metre)})
    if (fit.value[rate] < 0) {
      std::erase(rates, rate);
      fit = solve(timings, seconds, rates);
    }
  if (fit.value[per_mm3] <= 0)
    throw JobError(
        "the times do not grow with the volume to take off: check which time belongs to which part, or time "
        "parts "
        "that differ more");

  SandFit out;
  out.rates = held;
  out.per_metre_fitted = fit_per_metre;
  out.scatter = fit.scatter;
  out.freedom = fit.freedom;
  out.correlation = fit.correlation;
  out.handling_error = fit.error[handling];
  out.per_mm3_error = fit.error[per_mm3];
  out.per_metre_error = fit.error[per_metre];
  const auto range = [&](std::size_t rate) {
    if (std::find(rates.begin(), rates.end(), rate) != rates.end())
      return ranged(fit.value[rate], fit.error[rate], fit.freedom);
    return ranged(first.value[rate], first.error[rate], first.freedom);
  };
  out.rates.handling = range(handling);
  out.rates.per_mm3 = range(per_mm3);
  if (fit_per_metre) out.rates.per_metre = range(per_metre);
  out.rates.source = fmt::format("fitted to {} timed parts", timings.size());
  return out;
}

}  // namespace ovolo
