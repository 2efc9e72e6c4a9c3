#include "render/solid.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <stdexcept>

#include "sim/parallel.hpp"

namespace ovolo::render {

namespace {

constexpr float kNothing = -1e30F;
constexpr int kMostSamples = 12000;  // on a side

std::size_t at(int i, int j, int nx) {
  return static_cast<std::size_t>(j) * static_cast<std::size_t>(nx) + static_cast<std::size_t>(i);
}

/// Bilinear value at (x, y) in samples, clamped to the grid.
double bilinear(const std::vector<float>& grid, int nx, int ny, double x, double y) {
  const double cx = std::clamp(x, 0.0, nx - 1.0), cy = std::clamp(y, 0.0, ny - 1.0);
  const int i = std::min(static_cast<int>(cx), nx - 2), j = std::min(static_cast<int>(cy), ny - 2);
  const double fx = cx - i, fy = cy - j;
  const float* row = grid.data() + at(i, j, nx);
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

/// The field's heights, row by row. Cells beyond the wall take the surface inside carried on, so that what
/// was cut off out there does not pull the last patches down.
std::vector<float> Solid::mended_heights(const Heightfield& field, const EdgeFrame& frame) const {
  constexpr int kRun = 16;  // cells that are passed over together when all lie well inside or well outside
  constexpr double kReach = 4;
  enum : std::uint8_t { outside, to_fill, known };
  const int columns = static_cast<int>(field.columns()), rows = static_cast<int>(field.rows());
  std::vector<float> heights(static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows));
  std::vector<std::uint8_t> state(heights.size(), known);
  std::vector<std::vector<int>> fill(static_cast<std::size_t>(rows));
  const auto distance_at = [&](double i, double j) {
    return wall_distance(frame.to_frame(field.origin() + cell_ * Vec2{i + 0.5, j + 0.5}));
  };
  parallel_for(static_cast<std::size_t>(rows), [&](std::size_t row) {
    const int j = static_cast<int>(row);
    for (int first = 0; first < columns; first += kRun) {
      const int last = std::min(first + kRun, columns);
      for (int i = first; i < last; ++i) heights[at(i, j, columns)] = field.at(i, j);
      const double middle = distance_at((first + last - 1) / 2.0, j);
      if (middle > kRun * cell_) continue;
      const bool far_out = middle < -(kRun + kReach) * cell_;
      for (int i = first; i < last; ++i) {
        const double d = far_out ? middle : distance_at(i, j);
        if (d >= 0.3 * cell_) continue;
        const bool near = d > -kReach * cell_;
        state[at(i, j, columns)] = near ? to_fill : outside;
        if (near) fill[row].push_back(i);
      }
    }
  });
  const auto is_known = [&](int i, int j) {
    return i >= 0 && j >= 0 && i < columns && j < rows && state[at(i, j, columns)] == known;
  };
  const auto height_at = [&](int i, int j) { return static_cast<double>(heights[at(i, j, columns)]); };
  for (int ring = 0; ring < static_cast<int>(kReach); ++ring) {
    std::vector<std::vector<float>> filled(fill.size());
    parallel_for(fill.size(), [&](std::size_t row) {
      const int j = static_cast<int>(row);
      for (const int i : fill[row]) {
        double sum = 0, weight = 0;
        for (int k = 0; k < 9; ++k) {
          const int di = k % 3 - 1, dj = k / 3 - 1;
          if (!is_known(i + di, j + dj)) continue;
          const double h = height_at(i + di, j + dj);
          const bool two = is_known(i + 2 * di, j + 2 * dj);
          const double rise = two ? h - height_at(i + 2 * di, j + 2 * dj) : 0;
          const double w = two ? 1 : 0.1;
          sum += w * (h + (std::fabs(rise) < 2 * cell_ ? rise : 0));
          weight += w;
        }
        filled[row].push_back(weight > 0 ? static_cast<float>(sum / weight) : kNothing);
      }
    });
    for (std::size_t row = 0; row < fill.size(); ++row) {
      std::vector<int> left;
      for (std::size_t k = 0; k < fill[row].size(); ++k) {
        if (filled[row][k] == kNothing) {
          left.push_back(fill[row][k]);
          continue;
        }
        heights[at(fill[row][k], static_cast<int>(row), columns)] = filled[row][k];
        state[at(fill[row][k], static_cast<int>(row), columns)] = known;
      }
      fill[row] = std::move(left);
    }
  }
  return heights;
}

void Solid::sample_heights(const Heightfield& field, const EdgeFrame& frame) {
  const std::vector<float> given = mended_heights(field, frame);
  const auto columns = static_cast<int>(field.columns()), rows = static_cast<int>(field.rows());
  heights_.resize(static_cast<std::size_t>(nx_) * static_cast<std::size_t>(ny_));
  parallel_for(static_cast<std::size_t>(ny_), [&](std::size_t row) {
    const int j = static_cast<int>(row);
    for (int i = 0; i < nx_; ++i) {
      const Vec2 p = frame.to_sheet(origin_ + cell_ * Vec2{static_cast<double>(i), static_cast<double>(j)});
      const Vec2 c = (p - field.origin()) / cell_ - Vec2{0.5, 0.5};
      heights_[at(i, j, nx_)] = static_cast<float>(bilinear(given, columns, rows, c.x, c.y));
    }
  });
}

void Solid::build_pyramid() {
  Level base;
  base.nx = nx_ - 1;
  base.ny = ny_ - 1;
  base.most.resize(static_cast<std::size_t>(base.nx) * static_cast<std::size_t>(base.ny));
  parallel_for(static_cast<std::size_t>(base.ny), [&](std::size_t row) {
    const int j = static_cast<int>(row);
    for (int i = 0; i < base.nx; ++i) {
      const Vec2 middle = origin_ + cell_ * Vec2{i + 0.5, j + 0.5};
      const bool part = wall_distance(middle) > -1.5 * cell_;
      base.most[at(i, j, base.nx)] =
          part ? std::max({sample(i, j), sample(i + 1, j), sample(i, j + 1), sample(i + 1, j + 1)})
               : kNothing;
    }
  });
  levels_.push_back(std::move(base));
  while (levels_.back().nx > 1 || levels_.back().ny > 1) {
    const Level& fine = levels_.back();
    Level next;
    next.nx = (fine.nx + 1) / 2;
    next.ny = (fine.ny + 1) / 2;
    next.most.resize(static_cast<std::size_t>(next.nx) * static_cast<std::size_t>(next.ny));
    for (int j = 0; j < next.ny; ++j) {
      for (int i = 0; i < next.nx; ++i) {
        float most = kNothing;
        for (int b = 2 * j; b < std::min(2 * j + 2, fine.ny); ++b) {
          for (int a = 2 * i; a < std::min(2 * i + 2, fine.nx); ++a)
            most = std::max(most, fine.most[at(a, b, fine.nx)]);
        }
        next.most[at(i, j, next.nx)] = most;
      }
    }
    levels_.push_back(std::move(next));
  }
  top_ = std::max(bottom_, static_cast<double>(levels_.back().most.front()));
}

double Solid::height(Vec2 p) const {
  const Vec2 q = (p - origin_) / cell_;
  return bilinear(heights_, nx_, ny_, q.x, q.y);
}

double Solid::wall_distance(Vec2 p) const {
  const Vec2 q = (p - origin_) / wall_step_;
  return bilinear(walls_, wall_nx_, wall_ny_, q.x, q.y);
}

Vec3 Solid::top_normal(Vec2 p) const {
  // Differences over three rows each way, so that the stairs of cells along a curved step do not show.
  const double e = 1.3 * cell_;
  double dx = 0, dy = 0;
  for (int k = -1; k <= 1; ++k) {
    const double weight = k == 0 ? 0.5 : 0.25;
    dx += weight * (height({p.x + e, p.y + k * e}) - height({p.x - e, p.y + k * e}));
    dy += weight * (height({p.x + k * e, p.y + e}) - height({p.x + k * e, p.y - e}));
  }
  return normalized(Vec3{-dx, -dy, 2 * e});
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
  const Vec3 p0 = ray.at(t0), p1 = ray.at(t1);
  double w0 = wall_distance({p0.x, p0.y}), w1 = wall_distance({p1.x, p1.y});
  if (w0 <= 0 && w1 <= 0) return false;
  bool at_wall = false;
  if (w0 <= 0) {
    t0 += (t1 - t0) * w0 / (w0 - w1);
    at_wall = true;
  } else if (w1 <= 0) {
    t1 = t0 + (t1 - t0) * w0 / (w0 - w1);
  }
  // Over a bilinear patch the ray's height above the surface is a parabola in t: three values fix it.
  const double h00 = static_cast<double>(sample(i, j)), h10 = static_cast<double>(sample(i + 1, j));
  const double h01 = static_cast<double>(sample(i, j + 1)), h11 = static_cast<double>(sample(i + 1, j + 1));
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
  Hit out = trace(ray);
  const Vec3 p = ray.at(out.t);
  if (out.face == Face::top) out.normal = top_normal({p.x, p.y});
  if (out.face == Face::wall) out.normal = wall_normal({p.x, p.y});
  return out;
}

Solid::Hit Solid::trace(const Ray& ray) const {
  Hit out;
  double t0 = 0, t1 = 0;
  if (!enter(ray, t0, t1, out) || out.face != Face::none) return out;
  const Vec3 d = ray.direction;
  const Level& base = levels_.front();
  const auto cell_of = [this](double v, double o, int n) {
    return std::clamp(static_cast<int>(std::floor((v - o) / cell_)), 0, n - 1);
  };
  double t = t0;
  Vec3 p = ray.at(t);
  int i = cell_of(p.x, origin_.x, base.nx), j = cell_of(p.y, origin_.y, base.ny);
  const int top_level = static_cast<int>(levels_.size()) - 1;
  int level = top_level;
  for (;;) {
    const int bi = i >> level, bj = j >> level;
    const int lo_i = bi << level, lo_j = bj << level;
    const int hi_i = lo_i + (1 << level), hi_j = lo_j + (1 << level);
    const double tx = d.x > 0   ? (origin_.x + cell_ * hi_i - ray.origin.x) / d.x
                      : d.x < 0 ? (origin_.x + cell_ * lo_i - ray.origin.x) / d.x
                                : 1e300;
    const double ty = d.y > 0   ? (origin_.y + cell_ * hi_j - ray.origin.y) / d.y
                      : d.y < 0 ? (origin_.y + cell_ * lo_j - ray.origin.y) / d.y
                                : 1e300;
    const double leave = std::max(t, std::min({tx, ty, t1}));
    const double lowest = ray.origin.z + d.z * (d.z < 0 ? leave : t);
    const Level& now = levels_[static_cast<std::size_t>(level)];
    if (lowest <= static_cast<double>(now.most[at(bi, bj, now.nx)])) {
      if (level > 0) {
        --level;
        continue;
      }
      if (hit_patch(ray, i, j, t, leave, out)) return out;
    }
    if (leave >= t1) return out;
    t = leave;
    // Whole-number steps over the boundary crossed: rounding can never hold the ray in place.
    if (tx <= ty) {
      i = d.x > 0 ? hi_i : lo_i - 1;
      if (i < 0 || i >= base.nx) return out;
      j = std::clamp(cell_of(ray.origin.y + t * d.y, origin_.y, base.ny), lo_j, std::min(hi_j, base.ny) - 1);
    } else {
      j = d.y > 0 ? hi_j : lo_j - 1;
      if (j < 0 || j >= base.ny) return out;
      i = std::clamp(cell_of(ray.origin.x + t * d.x, origin_.x, base.nx), lo_i, std::min(hi_i, base.nx) - 1);
    }
    if (level < top_level) ++level;
  }
}

}  // namespace ovolo::render
