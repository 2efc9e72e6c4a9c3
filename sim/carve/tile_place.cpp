#include "sim/carve/tile_place.hpp"

#include <array>

namespace ovolo {
namespace {

constexpr double kLarge = 30;  // mm, arcs above this are told by differences

// rho - radius with rho^2 = middle2 + half2 t, t in [-1, 1], as a polynomial in t: the series of the root,
// whose last two terms are told by lower ones so that Chebyshev's polynomials are left out. The lowest
// degree that is near enough.
void set_far(CellTask& task, double radius, double middle2, double half2) {
  constexpr double kNear = 3e-6;  // mm
  const double root = std::sqrt(middle2), s = half2 / middle2, s2 = s * s;
  std::array<double, 7> c{(middle2 - radius * radius) / (root + radius),
                          root * s / 2,
                          -root * s2 / 8,
                          root * s2 * s / 16,
                          root * s2 * s2 * (-5.0 / 128),
                          root * s2 * s2 * s * (7.0 / 256),
                          root * s2 * s2 * s2 * (-21.0 / 1024)};
  // Size of what is left out: the Chebyshev terms and the first beyond the series.
  const auto near = [&](std::size_t degree, double beyond) {
    return std::abs(c[degree + 1]) / (1 << degree) + std::abs(beyond) <= kNear;
  };
  if (near(2, c[5]))
    task.far_degree = 2;
  else if (near(3, c[6]))
    task.far_degree = 3;
  else if (near(4, root * s2 * s2 * s2 * s * (33.0 / 2048)))
    task.far_degree = 4;
  else
    return;
  if (task.far_degree == 4) {
    c[4] += 1.5 * c[6];  // t^6 = 3/2 t^4 - 9/16 t^2 + 1/32 + T6 / 32
    c[2] -= 9.0 / 16 * c[6];
    c[0] += c[6] / 32;
  }
  if (task.far_degree >= 3) {
    c[3] += 1.25 * c[5];  // t^5 = 5/4 t^3 - 5/16 t + T5 / 16
    c[1] -= 0.3125 * c[5];
  }
  if (task.far_degree <= 3) {
    c[2] += c[4];  // t^4 = t^2 - 1/8 + T4 / 8
    c[0] -= c[4] / 8;
  }
  if (task.far_degree == 2) c[1] += 0.75 * c[3];  // t^3 = 3/4 t + T3 / 4
  task.path = CellTask::Path::far_ring;
  task.excess_middle = static_cast<float>(middle2 - radius * radius);
  task.excess_scale = static_cast<float>(1 / half2);
  for (std::size_t k = 0; k < task.far.size(); ++k)
    task.far[k] = k <= static_cast<std::size_t>(task.far_degree) ? static_cast<float>(c[k]) : 0;
}

}  // namespace

void TilePlace::set_circle(CellTask& task, const Segment& arc) const {
  task.path = arc.radius > kLarge ? CellTask::Path::large_ring : CellTask::Path::ring;
  task.radius = static_cast<float>(arc.radius);
  set_centre(task, arc.centre);
  const Vec2 from = first - arc.centre;
  const double rho = std::sqrt(dot(from, from));
  const double excess = (rho - arc.radius) * (rho + arc.radius);
  task.excess = static_cast<float>(excess);
  double least2 = 0, most2 = 0;
  squares(arc.centre, least2, most2);
  set_far(task, arc.radius, 0.5 * (least2 + most2), 0.5 * (most2 - least2));
}

}  // namespace ovolo
