#include "render/sheet_block.hpp"

#include <algorithm>
#include <cmath>

#include "sim/parallel.hpp"

namespace ovolo::render {
namespace {

constexpr double kMostSamples = 1.2e7;
constexpr int kBand = 4;  // steps within which samples are distances
constexpr int kRow = 9;   // samples of a tile along a side
using State = FinishedSheet::Near::State;

}  // namespace

SheetBlock::SheetBlock(const FinishedSheet& sheet, const EdgeFrame& frame, const Box2& window,
                       const StopCheck& stop)
    : sheet_(sheet), frame_(frame), window_(window) {
  const Vec2 size = window.hi - window.lo;
  const double thick = -sheet.bottom();
  step_ = std::max(size.x / 500, std::cbrt(size.x * size.y * thick / kMostSamples));
  origin_ = {window.lo.x - step_, window.lo.y - step_, sheet.bottom() - 2 * step_};
  const auto tiles = [&](double d) { return static_cast<int>(std::ceil((d + 4 * step_) / (kTile * step_))); };
  nx_ = tiles(size.x);
  ny_ = tiles(size.y);
  nz_ = tiles(thick);
  build(stop);
}

Point3 SheetBlock::to_sheet(Vec3 p) const {
  const Vec2 q = frame_.to_sheet({p.x, p.y});
  return {q.x, q.y, frame_.turned ? sheet_.bottom() - p.z : p.z};
}

Vec3 SheetBlock::to_frame(Point3 n) const {
  return {dot(Vec2{n.x, n.y}, frame_.inward), dot(Vec2{n.x, n.y}, frame_.away()), frame_.turned ? -n.z : n.z};
}

void SheetBlock::build(const StopCheck& stop) {
  const auto n =
      static_cast<std::size_t>(nx_) * static_cast<std::size_t>(ny_) * static_cast<std::size_t>(nz_);
  near_.resize(n);
  first_.assign(n, 0);
  const auto corner = [&](std::size_t t) {
    const auto i = static_cast<int>(t % static_cast<std::size_t>(nx_));
    const auto j = static_cast<int>(t / static_cast<std::size_t>(nx_) % static_cast<std::size_t>(ny_));
    const auto k = static_cast<int>(t / static_cast<std::size_t>(nx_) / static_cast<std::size_t>(ny_));
    return origin_ +
           kTile * step_ * Vec3{static_cast<double>(i), static_cast<double>(j), static_cast<double>(k)};
  };
  const double half = kTile * step_ / 2, radius = half * 1.7321 + kBand * step_;
  parallel_for(
      n,
      [&](std::size_t t) {
        if (stop) stop();
        near_[t] = sheet_.near(to_sheet(corner(t) + half * Vec3{1, 1, 1}), radius);
      },
      64);
  std::size_t mixed = 0;
  for (std::size_t t = 0; t < n; ++t)
    if (near_[t].state == State::mixed) first_[t] = static_cast<std::int32_t>(kRow * kRow * kRow * mixed++);
  samples_.resize(mixed * kRow * kRow * kRow);
  parallel_for(
      n,
      [&](std::size_t t) {
        if (near_[t].state != State::mixed) return;
        if (stop) stop();
        const Vec3 o = corner(t);
        float* out = samples_.data() + first_[t];
        for (int k = 0; k < kRow; ++k)
          for (int j = 0; j < kRow; ++j)
            for (int i = 0; i < kRow; ++i) {
              const Vec3 p =
                  o + step_ * Vec3{static_cast<double>(i), static_cast<double>(j), static_cast<double>(k)};
              *out++ = static_cast<float>(
                  std::clamp(sheet_.value(near_[t], to_sheet(p)), -kBand * step_, kBand * step_));
            }
      },
      8);
  // How many tiles lie between an empty one and the nearest mixed one.
  const int most = nx_ + ny_ + nz_;
  std::vector<int> far(n);
  for (std::size_t t = 0; t < n; ++t) far[t] = near_[t].state == State::mixed ? 0 : most;
  const auto at = [&](int i, int j, int k) {
    return static_cast<std::size_t>(i) +
           static_cast<std::size_t>(nx_) *
               (static_cast<std::size_t>(j) + static_cast<std::size_t>(ny_) * static_cast<std::size_t>(k));
  };
  const auto relax = [&](int i, int j, int k, int sense) {
    int& here = far[at(i, j, k)];
    for (int dk = -1; dk <= 1; ++dk)
      for (int dj = -1; dj <= 1; ++dj)
        for (int di = -1; di <= 1; ++di) {
          if ((dk * 9 + dj * 3 + di) * sense >= 0) continue;
          const int a = i + di, b = j + dj, c = k + dk;
          if (a < 0 || b < 0 || c < 0 || a >= nx_ || b >= ny_ || c >= nz_) continue;
          here = std::min(here, far[at(a, b, c)] + 1);
        }
  };
  for (int k = 0; k < nz_; ++k)
    for (int j = 0; j < ny_; ++j)
      for (int i = 0; i < nx_; ++i) relax(i, j, k, 1);
  for (int k = nz_ - 1; k >= 0; --k)
    for (int j = ny_ - 1; j >= 0; --j)
      for (int i = nx_ - 1; i >= 0; --i) relax(i, j, k, -1);
  for (std::size_t t = 0; t < n; ++t)
    if (near_[t].state != State::mixed) first_[t] = -1 - far[t];
}

std::size_t SheetBlock::tile_at(Vec3 p) const {
  const double s = 1 / (kTile * step_);
  const int i = std::clamp(static_cast<int>((p.x - origin_.x) * s), 0, nx_ - 1);
  const int j = std::clamp(static_cast<int>((p.y - origin_.y) * s), 0, ny_ - 1);
  const int k = std::clamp(static_cast<int>((p.z - origin_.z) * s), 0, nz_ - 1);
  return static_cast<std::size_t>(i) +
         static_cast<std::size_t>(nx_) *
             (static_cast<std::size_t>(j) + static_cast<std::size_t>(ny_) * static_cast<std::size_t>(k));
}

double SheetBlock::exact(Vec3 p) const {
  const FinishedSheet::Near& near = near_[tile_at(p)];
  if (near.state == State::full) return -kBand * step_;
  if (near.state == State::empty) return kBand * step_;
  return sheet_.value(near, to_sheet(p));
}

double SheetBlock::sample(Vec3 p) const {
  const std::size_t t = tile_at(p);
  if (first_[t] < 0) {
    if (near_[t].state == State::full) return -kBand * step_;
    return std::max(kBand, kTile * (-2 - first_[t])) * step_;
  }
  const auto nx = static_cast<std::size_t>(nx_), ny = static_cast<std::size_t>(ny_);
  const double x = (p.x - origin_.x) / step_ - kTile * static_cast<double>(t % nx);
  const double y = (p.y - origin_.y) / step_ - kTile * static_cast<double>(t / nx % ny);
  const double z = (p.z - origin_.z) / step_ - kTile * static_cast<double>(t / nx / ny);
  const int i = std::clamp(static_cast<int>(x), 0, kTile - 1),
            j = std::clamp(static_cast<int>(y), 0, kTile - 1),
            k = std::clamp(static_cast<int>(z), 0, kTile - 1);
  const double fx = std::clamp(x - i, 0.0, 1.0), fy = std::clamp(y - j, 0.0, 1.0),
               fz = std::clamp(z - k, 0.0, 1.0);
  const float* v = samples_.data() + first_[t] + i + kRow * (j + kRow * k);
  const auto along = [&](const float* a) {
    return static_cast<double>(a[0]) + fx * (static_cast<double>(a[1]) - static_cast<double>(a[0]));
  };
  const auto plane = [&](const float* a) {
    const double low = along(a);
    return low + fy * (along(a + kRow) - low);
  };
  const double low = plane(v);
  return low + fz * (plane(v + kRow * kRow) - low);
}

bool SheetBlock::enter(const Ray& ray, double& t0, double& t1, Hit& out) const {
  t0 = 0;
  t1 = 1e30;
  Vec3 normal{};
  bool cut = false;
  const auto slab = [&](double o, double d, double lo, double hi, Vec3 axis, bool side) {
    if (d == 0) return o >= lo && o <= hi;
    double a = (lo - o) / d, b = (hi - o) / d;
    if (d < 0) std::swap(a, b);
    if (a > t0) {
      t0 = a;
      normal = d > 0 ? -axis : axis;
      cut = side;
    }
    t1 = std::min(t1, b);
    return t0 <= t1;
  };
  if (!slab(ray.origin.z, ray.direction.z, bottom() - step_, step_, {0, 0, 1}, false)) return false;
  if (!slab(ray.origin.x, ray.direction.x, window_.lo.x, window_.hi.x, {1, 0, 0}, true)) return false;
  if (!slab(ray.origin.y, ray.direction.y, window_.lo.y, window_.hi.y, {0, 1, 0}, true)) return false;
  if (cut && t0 > 0 && exact(ray.at(t0)) < 0) out = {t0, normal, Face::cut};
  return true;
}

// False position with the kept end's value halved (Illinois): between the two the function is nearly
// straight.
double SheetBlock::entry(const Ray& ray, double out, double in, double f_in) const {
  constexpr double kClose = 1e-6;  // mm
  double f_out = exact(ray.at(out));
  if (f_out < 0) return out;
  int side = 0;
  for (int k = 0; k < 40 && in - out > kClose && f_in < -1e-3 * kClose; ++k) {
    const double m = k < 20 ? out + (in - out) * f_out / (f_out - f_in) : (out + in) / 2;
    const double f = exact(ray.at(m));
    if (f < 0) {
      in = m;
      f_in = f;
      if (side < 0) f_out /= 2;
      side = -1;
    } else {
      out = m;
      f_out = f;
      if (side > 0) f_in /= 2;
      side = 1;
    }
  }
  return in;
}

SheetBlock::Hit SheetBlock::hit(const Ray& ray) const {
  Hit out;
  double t = 0, t1 = 0;
  if (!enter(ray, t, t1, out) || out.face != Face::none) return out;
  double before = t;
  for (int i = 0; i < 4000 && t < t1; ++i) {
    const Vec3 p = ray.at(t);
    double f = sample(p);
    if (f < 1.5 * step_) {
      f = exact(p);
      if (f < 0) {
        t = entry(ray, before, t, f);
        const Vec3 at = ray.at(t);
        FinishedSheet::Owner owner = 0;
        const FinishedSheet::Near& near = near_[tile_at(at)];
        if (near.state == State::mixed) sheet_.value(near, to_sheet(at), &owner);
        return {t, to_frame(sheet_.normal(owner, to_sheet(at))), Face::top};
      }
      before = t;
      t += std::max(f, 0.03 * step_);
    } else {
      before = t;
      t += std::max(f - step_, 0.5 * step_);
    }
  }
  return out;
}

bool SheetBlock::blocked(const Ray& ray) const {
  Hit out;
  double t = 0, t1 = 0;
  if (!enter(ray, t, t1, out)) return false;
  if (out.face != Face::none) return true;
  t = std::max(t, step_);
  for (int i = 0; i < 400 && t < t1; ++i) {
    const double f = sample(ray.at(t));
    if (f < 0) return true;
    t += std::max(f, 0.3 * step_);
  }
  return false;
}

}  // namespace ovolo::render
