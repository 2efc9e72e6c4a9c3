#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/job.hpp"

namespace ovolo {

double WantedForm::depth_at(double u) const {
  if (u >= width) return 0;
  for (const Segment& s : curve) {
    if (u < s.a.x || u >= s.b.x) continue;
    if (!s.is_arc()) return -(s.a.y + (s.b.y - s.a.y) * ((u - s.a.x) / (s.b.x - s.a.x)));
    const double d = u - s.centre.x;
    const double root = std::sqrt(std::max(0.0, s.radius * s.radius - d * d));
    const double side = (s.a.y + s.b.y) / 2 > s.centre.y ? 1 : -1;
    return -(s.centre.y + side * root);
  }
  return 0;
}

WantedForm WantedForm::round(double radius) {
  WantedForm form;
  form.width = form.depth = radius;
  form.curve.push_back(Segment::arc({radius, -radius}, radius, std::numbers::pi, -std::numbers::pi / 2));
  form.curve.front().a = {0, -radius};
  form.curve.front().b = {radius, 0};
  return form;
}

}  // namespace ovolo
