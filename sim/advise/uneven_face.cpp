#include "sim/advise/uneven_face.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/stock/surface.hpp"

namespace ovolo {

UnevenFace uneven_face(const Job& job, std::uint32_t operation) {
  const Operation& op = job.operations.at(operation);
  if (job.shape.flat() || op.contour < 0) return {};
  std::vector<bool> lifting;
  const auto last = static_cast<std::uint32_t>(std::max<std::size_t>(op.passes.size(), 1) - 1);
  for (const SheetShape::Lift& lift : job.shape.lifts) lifting.push_back(lift.up_at(operation, last));
  const Surface surface(job.shape, job.stock.width, job.stock.height, job.stock.thickness(),
                        job.errors.zero_on, lifting);
  const NamedContour& named = job.contours[static_cast<std::size_t>(op.contour)];
  constexpr double kSpacing = 1, kMost = 20000;
  double lo = std::numeric_limits<double>::infinity(), hi = -lo;
  const double length = named.contour.length();
  const auto steps = static_cast<int>(std::clamp(std::ceil(length / kSpacing), 1.0, kMost));
  for (const Vec2 shift : named.at)
    for (int i = 0; i <= steps; ++i) {
      const double delta = surface.delta(named.contour.point(length * i / steps) + shift);
      lo = std::min(lo, delta);
      hi = std::max(hi, delta);
    }
  return lo <= hi ? UnevenFace{-lo, hi} : UnevenFace{};
}

}  // namespace ovolo
