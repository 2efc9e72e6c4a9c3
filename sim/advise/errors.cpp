#include "sim/advise/errors.hpp"

#include <cmath>
#include <numbers>

namespace ovolo {

double SettingErrors::depth() const { return zero_on == ZeroOn::face ? z : std::hypot(z, thickness); }

double SettingErrors::growth() const { return runout / 2 * 2 / std::numbers::pi; }

double SettingErrors::growth_sigma() const {
  constexpr double mean = 2 / std::numbers::pi;
  return runout / 2 * std::sqrt(0.5 - mean * mean);
}

}  // namespace ovolo
