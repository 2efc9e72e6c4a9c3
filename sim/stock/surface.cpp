#include "sim/stock/surface.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/error.hpp"
#include "sim/stock/reading_map.hpp"

namespace ovolo {
namespace {

constexpr std::size_t kFewest = 8;  // readings of a sheet: EN 324-1

void check_readings(const std::vector<SheetShape::Reading>& readings, const char* what, std::size_t fewest) {
  if (readings.size() < fewest && !readings.empty())
    throw JobError(
        fmt::format("{} readings of the {}; take {} or more, spread over it", readings.size(), what, fewest));
  for (const auto& r : readings)
    if (!std::isfinite(r.at.x) || !std::isfinite(r.at.y) || !std::isfinite(r.value))
      throw JobError(fmt::format("a reading of the {} is not a number", what));
  if (!readings.empty()) ThinPlate{readings};
}

// 1 in the middle, level there and at the rim (twice smooth), 0 beyond.
double hump(double r, double radius) {
  const double t = r / radius;
  if (t >= 1) return 0;
  const double s = 1 - t * t;
  return s * s * s;
}

double farthest(const Box2& box, Vec2 p) {
  return std::hypot(std::max(std::abs(box.lo.x - p.x), std::abs(box.hi.x - p.x)),
                    std::max(std::abs(box.lo.y - p.y), std::abs(box.hi.y - p.y)));
}
double nearest(const Box2& box, Vec2 p) {
  return std::hypot(std::max({0.0, box.lo.x - p.x, p.x - box.hi.x}),
                    std::max({0.0, box.lo.y - p.y, p.y - box.hi.y}));
}

}  // namespace

void check(const SheetShape& shape) {
  check_readings(shape.thickness, "thickness", kFewest);
  check_readings(shape.height, "face", kFewest);
  check_readings(shape.spoilboard, "spoilboard", 3);
}

Surface::Surface(const SheetShape& shape, double width, double height, double thickness, ZeroOn zero_on,
                 const std::vector<bool>& lifting) {
  check(shape);
  std::vector<ThinPlate> parts;
  if (!shape.thickness.empty()) {
    std::vector<SheetShape::Reading> over = shape.thickness;
    for (auto& r : over) r.value -= thickness;
    parts.emplace_back(over);
  }
  if (!shape.height.empty()) parts.emplace_back(shape.height);
  if (!shape.spoilboard.empty()) parts.emplace_back(shape.spoilboard);
  if (!parts.empty()) map_ = std::make_shared<const ReadingMap>(std::move(parts), width, height);
  slope_ = {shape.tilt.x / std::max(width, 1e-6), shape.tilt.y / std::max(height, 1e-6)};
  centre_ = {width / 2, height / 2};
  bow_ = shape.bow;
  along_ = unit(shape.bow_direction);
  half_ = std::max(1e-6, std::abs(along_.x) * width / 2 + std::abs(along_.y) * height / 2);
  if (zero_on == ZeroOn::face)
    base_ = rise(shape.zero);
  else
    base_ =
        shape.spoilboard.empty() ? 0 : ReadingMap({ThinPlate(shape.spoilboard)}, width, height)(shape.zero);
  set_lifts(shape, lifting);
}

void Surface::set_lifts(const SheetShape& shape, const std::vector<bool>& lifting) {
  lifts_.clear();
  for (std::size_t i = 0; i < shape.lifts.size() && i < lifting.size(); ++i)
    if (lifting[i]) lifts_.push_back(shape.lifts[i]);
  flat_ = !map_ && slope_ == Vec2{} && bow_ == 0 && lifts_.empty();
}

Surface Surface::with_lifts(const SheetShape& shape, const std::vector<bool>& lifting) const {
  Surface out = *this;
  out.set_lifts(shape, lifting);
  return out;
}

double Surface::rise(Vec2 p) const {
  double z = dot(slope_, p - centre_);
  if (map_) z += (*map_)(p);
  if (bow_ != 0) {
    const double t = dot(along_, p - centre_) / half_;
    z += bow_ * (1 - t * t);
  }
  for (const auto& lift : lifts_) z += lift.height * hump(distance(p, lift.at), lift.radius);
  return z;
}

double Surface::delta(Vec2 p) const { return flat_ ? 0 : base_ - rise(p); }

Surface::Bounds Surface::bounds(const Box2& box) const {
  if (flat_ || box.empty()) return {};
  double lo = 0, hi = 0;
  if (map_) map_->range(box, lo, hi);
  const Vec2 a = box.lo - centre_, b = box.hi - centre_;
  lo += std::min(slope_.x * a.x, slope_.x * b.x) + std::min(slope_.y * a.y, slope_.y * b.y);
  hi += std::max(slope_.x * a.x, slope_.x * b.x) + std::max(slope_.y * a.y, slope_.y * b.y);
  if (bow_ != 0) {
    const double t0 =
        (std::min(along_.x * a.x, along_.x * b.x) + std::min(along_.y * a.y, along_.y * b.y)) / half_;
    const double t1 =
        (std::max(along_.x * a.x, along_.x * b.x) + std::max(along_.y * a.y, along_.y * b.y)) / half_;
    const double far = std::max(t0 * t0, t1 * t1), near = t0 <= 0 && t1 >= 0 ? 0 : std::min(t0 * t0, t1 * t1);
    lo += std::min(bow_ * (1 - far), bow_ * (1 - near));
    hi += std::max(bow_ * (1 - far), bow_ * (1 - near));
  }
  for (const auto& lift : lifts_) {
    const double most = hump(nearest(box, lift.at), lift.radius),
                 least = hump(farthest(box, lift.at), lift.radius);
    lo += std::min(lift.height * most, lift.height * least);
    hi += std::max(lift.height * most, lift.height * least);
  }
  const double slack = 1e-9 * (1 + std::abs(lo) + std::abs(hi));
  return {base_ - hi - slack, base_ - lo + slack};
}

}  // namespace ovolo
