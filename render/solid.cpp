#include "render/solid.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <stdexcept>

#include "render/mended_cells.hpp"
#include "sim/parallel.hpp"
#include "sim/stock/pages.hpp"

namespace ovolo::render {

namespace {

constexpr float kNothing = -1e30F;
constexpr int kMostSamples = 12000;  // on a side

std::size_t at(int i, int j, int nx) {
  return static_cast<std::size_t>(j) * static_cast<std::size_t>(nx) + static_cast<std::size_t>(i);
}

/// Bilinear value at (x, y) in samples, clamped to the grid.
double bilinear(const float* grid, int nx, int ny, double x, double y) {
  const double cx = std::clamp(x, 0.0, nx - 1.0), cy = std::clamp(y, 0.0, ny - 1.0);
  const int i = std::min(static_cast<int>(cx), nx - 2), j = std::min(static_cast<int>(cy), ny - 2);
  const double fx = cx - i, fy = cy - j;
  const float* row = grid + at(i, j, nx);
  const double low = row[0] + fx * (static_cast<double>(row[1]) - static_cast<double>(row[0]));
  const double high = row[nx] + fx * (static_cast<double>(row[nx + 1]) - static_cast<double>(row[nx]));
  return low + fy * (high - low);
}

}  // namespace

Solid::Solid(const Heightfield& field, const EdgeFrame& frame, const Box2& window, double bottom,
             const Inside& inside)
    : window_(window), cell_(field.cell()), bottom_(bottom) {
  if (!(cell_ > 0) || field.columns() < 2 || field.rows() < 2 || window.empty()) {
    throw std::invalid_argument("a close-up needs a heightfield and a window");
  }
  if (field.columns() > kMostSamples || field.rows() > kMostSamples) {
    throw std::invalid_argument(
        "a close-up's heightfield may be 12,000 cells on a side: carve its window alone");
  }
  // Samples fall on cell centres, so that turns of the frame by right angles copy cells as they are.
  const Vec2 phase = frame.to_frame(field.origin() + Vec2{cell_ / 2, cell_ / 2});
  const auto before = [this](double lo, double phase_at) {
    return phase_at + std::floor((lo - phase_at) / cell_) * cell_;
  };
  origin_ = {before(window.lo.x, phase.x), before(window.lo.y, phase.y)};
  const double wide = std::ceil((window.hi.x - origin_.x) / cell_) + 1;
  const double deep = std::ceil((window.hi.y - origin_.y) / cell_) + 1;
  if (!(wide >= 2 && deep >= 2 && wide <= kMostSamples && deep <= kMostSamples)) {
    throw std::invalid_argument(
        "a close-up's window must be 2 to 12,000 cells on a side: choose another cell");
  }
  nx_ = static_cast<int>(wide);
  ny_ = static_cast<int>(deep);
  sample_walls(frame, inside);
  sample_heights(field, frame);
  build_pyramid();
}

void Solid::sample_walls(const EdgeFrame& frame, const Inside& inside) {
  const Vec2 size = cell_ * Vec2{static_cast<double>(nx_), static_cast<double>(ny_)};
  wall_step_ = std::max(cell_, std::max(size.x, size.y) / 320);
  wall_nx_ = static_cast<int>(std::ceil(size.x / wall_step_)) + 2;
  wall_ny_ = static_cast<int>(std::ceil(size.y / wall_step_)) + 2;
  walls_.resize(static_cast<std::size_t>(wall_nx_) * static_cast<std::size_t>(wall_ny_));
  parallel_for(static_cast<std::size_t>(wall_ny_), [&](std::size_t row) {
    const int j = static_cast<int>(row);
    for (int i = 0; i < wall_nx_; ++i) {
      const Vec2 p = origin_ + wall_step_ * Vec2{static_cast<double>(i), static_cast<double>(j)};
      walls_[at(i, j, wall_nx_)] = static_cast<float>(inside(frame.to_sheet(p)));
    }
  });
}

void Solid::sample_heights(const Heightfield& field, const EdgeFrame& frame) {
  constexpr int kSide = 64;  // samples of a block: in a turned frame its field cells stay at hand
  heights_ = zeroed_pages<float>(static_cast<std::size_t>(nx_) * static_cast<std::size_t>(ny_));
  const auto in_cells = [&](int i, int j) {
    const Vec2 p = frame.to_sheet(origin_ + cell_ * Vec2{static_cast<double>(i), static_cast<double>(j)});
    return (p - field.origin()) / cell_ - Vec2{0.5, 0.5};
  };
  const MendedCells::Distance wall = [&](Vec2 p) { return wall_distance(frame.to_frame(p)); };
  parallel_for(static_cast<std::size_t>((ny_ + kSide - 1) / kSide), [&](std::size_t block) {
    MendedCells cells(field, wall);
    const int first_row = kSide * static_cast<int>(block), last_row = std::min(first_row + kSide, ny_);
    for (int first = 0; first < nx_; first += kSide) {
      // Nothing looks at heights far beyond the wall.
      if (wall_distance(origin_ + cell_ * Vec2{first + kSide / 2.0, first_row + kSide / 2.0}) <
          -2 * kSide * cell_)
        continue;
      const int last = std::min(first + kSide, nx_);
      Box2 places;
      for (const int j : {first_row, last_row - 1})
        for (const int i : {first, last - 1}) places.add(in_cells(i, j));
      cells.take(places);
      for (int j = first_row; j < last_row; ++j) {
        const Vec2 c = in_cells(first, j), step = in_cells(first + 1, j) - c;
        for (int i = first; i < last; ++i)
          heights_[at(i, j, nx_)] =
              static_cast<float>(cells.height(c + static_cast<double>(i - first) * step));
      }
    }
  });
}

void Solid::build_pyramid() {
  const int px = nx_ - 1, py = ny_ - 1;  // patches
  Level base;
  base.nx = (px + 1) / 2;
  base.ny = (py + 1) / 2;
  base.most = zeroed_pages<float>(static_cast<std::size_t>(base.nx) * static_cast<std::size_t>(base.ny));
  parallel_for(static_cast<std::size_t>(base.ny), [&](std::size_t row) {
    const int j = static_cast<int>(row);
    for (int i = 0; i < base.nx; ++i) {
      float most = kNothing;
      if (wall_distance(origin_ + cell_ * Vec2{2 * i + 1.0, 2 * j + 1.0}) > -2.5 * cell_) {
        for (int b = 2 * j; b <= std::min(2 * j + 2, py); ++b) {
          for (int a = 2 * i; a <= std::min(2 * i + 2, px); ++a) most = std::max(most, sample(a, b));
        }
      }
      base.most[at(i, j, base.nx)] = most;
    }
  });
  levels_.push_back(std::move(base));
  while (levels_.back().nx > 1 || levels_.back().ny > 1) {
    const Level& fine = levels_.back();
    Level next;
    next.nx = (fine.nx + 1) / 2;
    next.ny = (fine.ny + 1) / 2;
    next.most = zeroed_pages<float>(static_cast<std::size_t>(next.nx) * static_cast<std::size_t>(next.ny));
    parallel_for(static_cast<std::size_t>(next.ny), [&](std::size_t row) {
      const int j = static_cast<int>(row);
      for (int i = 0; i < next.nx; ++i) {
        float most = kNothing;
        for (int b = 2 * j; b < std::min(2 * j + 2, fine.ny); ++b) {
          for (int a = 2 * i; a < std::min(2 * i + 2, fine.nx); ++a)
            most = std::max(most, fine.most[at(a, b, fine.nx)]);
        }
        next.most[at(i, j, next.nx)] = most;
      }
    });
    levels_.push_back(std::move(next));
  }
  top_ = std::max(bottom_, static_cast<double>(levels_.back().most[0]));
  wall_nx8_ = (px + 7) / 8;
  near_wall_.resize(static_cast<std::size_t>(wall_nx8_) * static_cast<std::size_t>((py + 7) / 8));
  for (std::size_t k = 0; k < near_wall_.size(); ++k) {
    const auto i = static_cast<double>(k % static_cast<std::size_t>(wall_nx8_));
    const auto j = static_cast<double>(k / static_cast<std::size_t>(wall_nx8_));
    near_wall_[k] = wall_distance(origin_ + cell_ * Vec2{8 * i + 4, 8 * j + 4}) < 8 * cell_;
  }
}

double Solid::height(Vec2 p) const {
  const Vec2 q = (p - origin_) / cell_;
  return bilinear(heights_.get(), nx_, ny_, q.x, q.y);
}

double Solid::wall_distance(Vec2 p) const {
  const Vec2 q = (p - origin_) / wall_step_;
  return bilinear(walls_.data(), wall_nx_, wall_ny_, q.x, q.y);
}

Vec3 Solid::top_normal(Vec2 p) const {
  // Differences over three rows each way.
  const auto slope = [&](double e) {
    Vec2 g;
    for (int k = -1; k <= 1; ++k) {
      const double weight = (k == 0 ? 0.5 : 0.25) / (2 * e);
      g.x += weight * (height({p.x + e, p.y + k * e}) - height({p.x - e, p.y + k * e}));
      g.y += weight * (height({p.x + k * e, p.y + e}) - height({p.x + k * e, p.y - e}));
    }
    return g;
  };
  Vec2 g = slope(1.3 * cell_);
  const double steep = length(g);
  if (steep > 1.5) {
    // A step: cells along a curved one are stairs, so its direction is taken from farther around.
    const Vec2 wide = slope(5 * cell_) + slope(2.5 * cell_);
    if (length(wide) > 0) g = std::max(steep, 4.0) * normalized(wide);
  }
  return normalized(Vec3{-g.x, -g.y, 1});
}

Vec3 Solid::wall_normal(Vec2 p) const {
  const double e = 0.5 * wall_step_;
  const double dx = wall_distance({p.x + e, p.y}) - wall_distance({p.x - e, p.y});
  const double dy = wall_distance({p.x, p.y + e}) - wall_distance({p.x, p.y - e});
  const double n = std::hypot(dx, dy);
  return n > 0 ? Vec3{-dx / n, -dy / n, 0} : Vec3{-1, 0, 0};
}

bool Solid::enter(const Ray& ray, double& t0, double& t1, Hit& out) const {
  t0 = 0;
  t1 = 1e30;
  Vec3 normal{};
  Face face = Face::none;
  const auto slab = [&](double o, double d, double lo, double hi, Vec3 axis, Face low_face, Face high_face) {
    if (d == 0) return o >= lo && o <= hi;
    double a = (lo - o) / d, b = (hi - o) / d;
    const bool from_low = d > 0;
    if (!from_low) std::swap(a, b);
    if (a > t0) {
      t0 = a;
      normal = from_low ? -axis : axis;
      face = from_low ? low_face : high_face;
    }
    t1 = std::min(t1, b);
    return t0 <= t1;
  };
  if (!slab(ray.origin.z, ray.direction.z, bottom_, top_ + 1e-9, {0, 0, 1}, Face::bottom, Face::none))
    return false;
  if (!slab(ray.origin.x, ray.direction.x, window_.lo.x, window_.hi.x, {1, 0, 0}, Face::cut, Face::cut))
    return false;
  if (!slab(ray.origin.y, ray.direction.y, window_.lo.y, window_.hi.y, {0, 1, 0}, Face::cut, Face::cut))
    return false;
  if (face == Face::none || t0 <= 0) return true;
  const Vec3 p = ray.at(t0);
  if (wall_distance({p.x, p.y}) > 0 && p.z <= height({p.x, p.y})) out = {t0, normal, face};
  return true;
}

bool Solid::hit_patch(const Ray& ray, int i, int j, double t0, double t1, Hit& out) const {
  const double h00 = static_cast<double>(sample(i, j)), h10 = static_cast<double>(sample(i + 1, j));
  const double h01 = static_cast<double>(sample(i, j + 1)), h11 = static_cast<double>(sample(i + 1, j + 1));
  const double z = ray.origin.z + ray.direction.z * (ray.direction.z < 0 ? t1 : t0);
  if (z > std::max(std::max(h00, h10), std::max(h01, h11))) return false;
  bool at_wall = false;
  if (near_wall_[at(i >> 3, j >> 3, wall_nx8_)] != 0) {
    const Vec3 p0 = ray.at(t0), p1 = ray.at(t1);
    const double w0 = wall_distance({p0.x, p0.y}), w1 = wall_distance({p1.x, p1.y});
    if (w0 <= 0 && w1 <= 0) return false;
    if (w0 <= 0) {
      t0 += (t1 - t0) * w0 / (w0 - w1);
      at_wall = true;
    } else if (w1 <= 0) {
      t1 = t0 + (t1 - t0) * w0 / (w0 - w1);
    }
  }
  // Over a bilinear patch the ray's height above the surface is a parabola in t: three values fix it.
  const auto above = [&](double t) {
    const Vec3 p = ray.at(t);
    const double fx = (p.x - origin_.x) / cell_ - i, fy = (p.y - origin_.y) / cell_ - j;
    const double low = h00 + fx * (h10 - h00), high = h01 + fx * (h11 - h01);
    return p.z - (low + fy * (high - low));
  };
  const double g0 = above(t0);
  if (g0 <= 0) {
    out = {t0, {}, at_wall ? Face::wall : Face::top};
    return true;
  }
  const double g1 = above((t0 + t1) / 2), g2 = above(t1);
  const double a = 2 * g0 - 4 * g1 + 2 * g2, b = -3 * g0 + 4 * g1 - g2;
  double s = 2;  // smallest root of a s^2 + b s + g0 in [0, 1]
  if (std::fabs(a) < 1e-12) {
    if (b < 0) s = -g0 / b;
  } else {
    const double root = b * b - 4 * a * g0;
    if (root >= 0) {
      const double q = -0.5 * (b + (b < 0 ? -1 : 1) * std::sqrt(root));
      for (const double r : {q / a, q != 0 ? g0 / q : 2.0}) {
        if (r >= 0 && r < s) s = r;
      }
    }
  }
  if (!(s <= 1)) return false;
  out = {t0 + s * (t1 - t0), {}, Face::top};
  return true;
}

Solid::Hit Solid::hit(const Ray& ray) const {
  constexpr int kFirstLook = 3;  // most rays from afar meet the block's top as they enter its box
  Hit out = trace(ray, kFirstLook);
  const Vec3 p = ray.at(out.t);
  if (out.face == Face::top) out.normal = top_normal({p.x, p.y});
  if (out.face == Face::wall) out.normal = wall_normal({p.x, p.y});
  return out;
}

Solid::Hit Solid::trace(const Ray& ray, int level) const {
  Hit out;
  double t = 0, t1 = 0;
  if (!enter(ray, t, t1, out) || out.face != Face::none) return out;
  const int px = nx_ - 1, py = ny_ - 1;  // patches
  // In cells: position x + t dx. A direction along an axis never reaches that axis' boundaries.
  const double x = (ray.origin.x - origin_.x) / cell_, y = (ray.origin.y - origin_.y) / cell_;
  const double dx = ray.direction.x / cell_, dy = ray.direction.y / cell_, dz = ray.direction.z;
  const double ix = dx != 0 ? 1 / dx : 1e300, iy = dy != 0 ? 1 / dy : 1e300;
  const int forward_x = dx > 0 ? 1 : 0, forward_y = dy > 0 ? 1 : 0;
  int i = std::clamp(static_cast<int>(std::floor(x + t * dx)), 0, px - 1);
  int j = std::clamp(static_cast<int>(std::floor(y + t * dy)), 0, py - 1);
  const int top_level = static_cast<int>(levels_.size());
  level = std::min(level, top_level);
  for (;;) {
    const int bi = i >> level, bj = j >> level;
    const double tx = dx != 0 ? (((bi + forward_x) << level) - x) * ix : 1e300;
    const double ty = dy != 0 ? (((bj + forward_y) << level) - y) * iy : 1e300;
    const double leave = std::max(t, std::min({tx, ty, t1}));
    const double lowest = ray.origin.z + dz * (dz < 0 ? leave : t);
    if (level == 0) {
      if (hit_patch(ray, i, j, t, leave, out)) return out;
    } else {
      const Level& now = levels_[static_cast<std::size_t>(level - 1)];
      if (lowest <= static_cast<double>(now.most[at(bi, bj, now.nx)])) {
        --level;
        continue;
      }
    }
    if (leave >= t1) return out;
    t = leave;
    // Whole-number steps over the boundary crossed: rounding can never hold the ray in place.
    const int lo_i = bi << level, lo_j = bj << level;
    // A block twice as large is worth a look once the ray has come into another one, or rises.
    bool coarser = dz > 0;
    if (tx <= ty) {
      coarser |= (bi & 1) == forward_x;
      i = forward_x != 0 ? lo_i + (1 << level) : lo_i - 1;
      if (i < 0 || i >= px) return out;
      j = std::clamp(static_cast<int>(y + t * dy), lo_j, std::min(lo_j + (1 << level), py) - 1);
    } else {
      coarser |= (bj & 1) == forward_y;
      j = forward_y != 0 ? lo_j + (1 << level) : lo_j - 1;
      if (j < 0 || j >= py) return out;
      i = std::clamp(static_cast<int>(x + t * dx), lo_i, std::min(lo_i + (1 << level), px) - 1);
    }
    if (coarser && level < top_level) ++level;
  }
}

}  // namespace ovolo::render
