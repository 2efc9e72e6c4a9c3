#include "sim/solid/part_distance.hpp"

namespace ovolo {

double part_distance(const Contour& contour, Keep keep, Vec2 p) {
  const Contour::Nearest near = contour.nearest(p);
  bool in = false;
  switch (keep) {
    case Keep::inside:
      in = contour.contains(p);
      break;
    case Keep::outside:
      in = !contour.contains(p);
      break;
    case Keep::left:
      in = cross(contour.tangent(near.s), p - near.point) > 0;
      break;
    case Keep::right:
      in = cross(contour.tangent(near.s), p - near.point) < 0;
      break;
  }
  return in ? near.distance : -near.distance;
}

}  // namespace ovolo
