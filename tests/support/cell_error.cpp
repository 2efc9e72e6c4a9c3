#include "tests/support/cell_error.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ovolo::test {

double cell_error(const Job& job, const Plan& plan, const Heightfield& field, std::int64_t i, std::int64_t j,
                  double hair) {
  const double height = static_cast<double>(field.at(i, j));
  const Vec2 p = field.cell_centre(i, j);
  const double wanted = slow_height(job, plan, p);
  if (std::abs(height - wanted) < 2e-5) return std::abs(height - wanted);
  double lo = wanted, hi = wanted;
  constexpr int kAround = 16;
  for (int k = 0; k < kAround; ++k) {
    const double beside = slow_height(job, plan, p + hair * unit(2 * std::numbers::pi * k / kAround));
    lo = std::min(lo, beside);
    hi = std::max(hi, beside);
  }
  return std::max({0.0, lo - height, height - hi});
}

double worst_cell(const Job& job, const Plan& plan, const Heightfield& field, double hair,
                  std::int64_t stride) {
  double worst = 0;
  for (std::int64_t j = 0; j < field.rows(); j += stride)
    for (std::int64_t i = 0; i < field.columns(); i += stride)
      worst = std::max(worst, cell_error(job, plan, field, i, j, hair));
  return worst;
}

}  // namespace ovolo::test
