#include "sim/stock/reading_map.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/error.hpp"

namespace ovolo {
namespace {

constexpr double kGrid = 1;        // mm
constexpr double kMostWork = 2e7;  // nodes times readings

double plate(double r2) { return r2 > 0 ? r2 * std::log(r2) : 0; }

// Solves a dense system in place, with row exchange. False when it is singular.
bool solve(std::vector<double>& m, std::vector<double>& b) {
  const std::size_t n = b.size();
  for (std::size_t c = 0; c < n; ++c) {
    std::size_t best = c;
    for (std::size_t r = c + 1; r < n; ++r)
      if (std::abs(m[r * n + c]) > std::abs(m[best * n + c])) best = r;
    if (std::abs(m[best * n + c]) < 1e-12) return false;
    if (best != c) {
      for (std::size_t k = 0; k < n; ++k) std::swap(m[best * n + k], m[c * n + k]);
      std::swap(b[best], b[c]);
    }
    for (std::size_t r = c + 1; r < n; ++r) {
      const double f = m[r * n + c] / m[c * n + c];
      if (f == 0) continue;
      for (std::size_t k = c; k < n; ++k) m[r * n + k] -= f * m[c * n + k];
      b[r] -= f * b[c];
    }
  }
  for (std::size_t c = n; c-- > 0;) {
    for (std::size_t k = c + 1; k < n; ++k) b[c] -= m[c * n + k] * b[k];
    b[c] /= m[c * n + c];
  }
  return true;
}

}  // namespace

ThinPlate::ThinPlate(const std::vector<SheetShape::Reading>& readings) {
  const std::size_t n = readings.size();
  if (n < 3) throw JobError(fmt::format("{} readings do not make a map; give 3 or more, not on one line", n));
  Box2 box;
  for (const auto& r : readings) box.add(r.at);
  // In units of the map's own size, so that the system is well scaled.
  centre_ = (box.lo + box.hi) / 2;
  unit_ = std::max({box.hi.x - box.lo.x, box.hi.y - box.lo.y, 1e-6});
  for (const auto& r : readings) at_.push_back((r.at - centre_) / unit_);
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t k = 0; k < i; ++k)
      if (distance(at_[i], at_[k]) * unit_ < 1e-3)
        throw JobError(fmt::format("two readings stand at ({:.3f}, {:.3f}); keep one of them",
                                   readings[i].at.x, readings[i].at.y));
  double spread = 0;  // of the points across the line through the two farthest from each other
  std::size_t far = 0;
  for (std::size_t i = 0; i < n; ++i)
    if (distance(at_[i], at_[0]) > distance(at_[far], at_[0])) far = i;
  for (std::size_t i = 0; i < n; ++i)
    spread = std::max(spread, std::abs(cross(normalized(at_[far] - at_[0]), at_[i] - at_[0])));
  if (spread < 1e-4) throw JobError("the readings stand all on one line; spread them over the sheet");
  const std::size_t size = n + 3;
  std::vector<double> m(size * size, 0), b(size, 0);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t k = 0; k < n; ++k) {
      const Vec2 d = at_[i] - at_[k];
      m[i * size + k] = plate(dot(d, d));
    }
    const double row[3] = {1, at_[i].x, at_[i].y};
    for (std::size_t c = 0; c < 3; ++c) m[i * size + n + c] = m[(n + c) * size + i] = row[c];
    b[i] = readings[i].value;
  }
  if (!solve(m, b)) throw JobError("the readings do not fix a surface; spread them over the sheet");
  weight_.assign(b.begin(), b.begin() + static_cast<std::ptrdiff_t>(n));
  std::copy(b.begin() + static_cast<std::ptrdiff_t>(n), b.end(), plane_);
}

double ThinPlate::operator()(Vec2 p) const {
  const Vec2 q = (p - centre_) / unit_;
  double sum = plane_[0] + plane_[1] * q.x + plane_[2] * q.y;
  for (std::size_t i = 0; i < at_.size(); ++i) {
    const Vec2 d = q - at_[i];
    sum += weight_[i] * plate(dot(d, d));
  }
  return sum;
}

ReadingMap::ReadingMap(std::vector<ThinPlate> parts, double width, double height) : parts_(std::move(parts)) {
  std::size_t readings = 1;
  for (const ThinPlate& part : parts_) readings += part.readings();
  const auto most = static_cast<std::size_t>(
      std::clamp(std::sqrt(kMostWork / static_cast<double>(readings)), 128.0, 1024.0));
  const auto nodes = [most](double side) {
    return std::clamp<std::size_t>(static_cast<std::size_t>(std::ceil(side / kGrid)) + 1, 2, most);
  };
  columns_ = nodes(width);
  rows_ = nodes(height);
  step_x_ = std::max(width, 1e-6) / static_cast<double>(columns_ - 1);
  step_y_ = std::max(height, 1e-6) / static_cast<double>(rows_ - 1);
  const auto tiles = [](std::size_t n) { return (n + kTile - 1) / kTile; };
  tiles_across_ = tiles(columns_);
  tiles_ = std::make_unique<Tile[]>(tiles_across_ * tiles(rows_));
  node_ = std::make_unique_for_overwrite<double[]>(tiles_across_ * tiles(rows_) * kTile * kTile);
}

double ReadingMap::at(std::size_t i, std::size_t k) const {
  const std::size_t tile = k / kTile * tiles_across_ + i / kTile;
  if (!tiles_[tile].ready.load(std::memory_order_acquire))
    std::call_once(tiles_[tile].once, [&] { fill(tile); });
  return node_[tile * kTile * kTile + k % kTile * kTile + i % kTile];
}

void ReadingMap::fill(std::size_t tile) const {
  double* out = node_.get() + tile * kTile * kTile;
  const std::size_t i0 = tile % tiles_across_ * kTile, k0 = tile / tiles_across_ * kTile;
  for (std::size_t k = k0; k < k0 + kTile; ++k)
    for (std::size_t i = i0; i < i0 + kTile; ++i) {
      const Vec2 p{step_x_ * static_cast<double>(i), step_y_ * static_cast<double>(k)};
      double sum = 0;
      for (const ThinPlate& part : parts_) sum += part(p);
      *out++ = sum;
    }
  tiles_[tile].ready.store(true, std::memory_order_release);
}

double ReadingMap::operator()(Vec2 p) const {
  const auto cell = [](double x, double step, std::size_t n, std::size_t& i) {
    const double t = std::clamp(x / step, 0.0, static_cast<double>(n - 1));
    i = std::min(static_cast<std::size_t>(t), n - 2);
    return t - static_cast<double>(i);
  };
  std::size_t i = 0, k = 0;
  const double s = cell(p.x, step_x_, columns_, i), t = cell(p.y, step_y_, rows_, k);
  return (1 - t) * ((1 - s) * at(i, k) + s * at(i + 1, k)) +
         t * ((1 - s) * at(i, k + 1) + s * at(i + 1, k + 1));
}

void ReadingMap::range(const Box2& box, double& lo, double& hi) const {
  const auto index = [](double x, double step, std::size_t n, bool up) {
    const double t = std::clamp(x / step, 0.0, static_cast<double>(n - 1));
    return static_cast<std::size_t>(up ? std::ceil(t) : std::floor(t));
  };
  const std::size_t i0 = index(box.lo.x, step_x_, columns_, false),
                    i1 = index(box.hi.x, step_x_, columns_, true);
  const std::size_t k0 = index(box.lo.y, step_y_, rows_, false), k1 = index(box.hi.y, step_y_, rows_, true);
  lo = hi = at(i0, k0);
  for (std::size_t k = k0; k <= k1; ++k)
    for (std::size_t i = i0; i <= i1; ++i) {
      lo = std::min(lo, at(i, k));
      hi = std::max(hi, at(i, k));
    }
}

}  // namespace ovolo
