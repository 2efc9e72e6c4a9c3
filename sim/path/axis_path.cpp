#include "sim/path/axis_path.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/error.hpp"
#include "sim/geometry/offset.hpp"
#include "sim/text.hpp"

namespace ovolo {
namespace {

Segment quarter_onto(const AxisPath& path, double radius) {
  const Vec2 end = path.contour.point(path.start);
  const Vec2 along = path.contour.tangent(path.start);
  const Vec2 outward = path.part_left ? -perp(along) : perp(along);
  const Vec2 centre = end + radius * outward;
  // Travel turns towards the waste: to the right when the part is on the left.
  const double turn = path.part_left ? -0.5 * std::numbers::pi : 0.5 * std::numbers::pi;
  Segment arc = Segment::arc(centre, radius, angle_of(end - centre) - turn, turn);
  arc.b = end;
  return arc;
}

// Straight on at either end.
Contour lengthened(const Contour& c, double before, double after) {
  const Vec2 first = c.point(0), last = c.point(c.length());
  std::vector<Segment> segments;
  if (before > 0) segments.push_back(Segment::line(first - before * c.tangent(0), first));
  segments.insert(segments.end(), c.segments().begin(), c.segments().end());
  if (after > 0) segments.push_back(Segment::line(last, last + after * c.tangent(c.length())));
  return Contour(std::move(segments), false);
}

}  // namespace

double clearance(const Contour& contour, bool part_left, Vec2 p) {
  const Contour::Nearest n = contour.nearest(p);
  bool on_part;
  if (contour.closed()) {
    on_part = contour.contains(p) == (part_left == (contour.signed_area() > 0));
  } else {
    const bool beyond = n.s <= 0 || n.s >= contour.length();
    on_part = !beyond && (cross(contour.tangent(n.s), p - n.point) > 0) == part_left;
  }
  return on_part ? -n.distance : n.distance;
}

bool part_on_left(const Contour& contour, Keep keep, int operation) {
  if (contour.closed()) {
    if (keep != Keep::inside && keep != Keep::outside)
      throw JobError("the contour is closed: set keep to \"inside\" or \"outside\"", operation);
    return (contour.signed_area() > 0) == (keep == Keep::inside);
  }
  if (keep != Keep::left && keep != Keep::right)
    throw JobError("the contour is open: set keep to \"left\" or \"right\" of its travel", operation);
  return keep == Keep::left;
}

std::vector<AxisPath> axis_paths(const Contour& contour, const Operation& operation, int index, double away) {
  const bool part_left = part_on_left(contour, operation.keep, index);
  const double left = part_left ? -away : away;
  const OffsetOptions corners{operation.corner == Corner::mitre ? Join::mitre : Join::round};
  const std::vector<Contour> parallels = offset_left(contour, left, corners);
  const bool turn_round = part_left == (operation.direction == Direction::climb);
  const double s = std::clamp(operation.start, 0.0, contour.length());
  const Vec2 wanted_start = contour.point(s) + left * perp(contour.tangent(s));
  std::vector<AxisPath> paths;
  for (const Contour& parallel : parallels) {
    AxisPath path{turn_round ? parallel.reversed() : parallel, 0, part_left != turn_round};
    if (parallel.closed()) path.start = path.contour.nearest(wanted_start).s;
    paths.push_back(std::move(path));
  }
  if (turn_round && !contour.closed()) std::reverse(paths.begin(), paths.end());
  if (operation.overrun > 0 && !contour.closed())
    for (std::size_t i = 0; i < paths.size(); ++i)
      if (!paths[i].contour.closed())
        paths[i].contour = lengthened(paths[i].contour, i == 0 ? operation.overrun : 0,
                                      i + 1 == paths.size() ? operation.overrun : 0);
  return paths;
}

double farthest_path(const Contour& contour, const Operation& operation, int index, double too_far) {
  const double sign = (part_on_left(contour, operation.keep, index) ? -1 : 1) * (too_far < 0 ? -1 : 1);
  double low = 0, high = std::abs(too_far);
  for (int i = 0; i < 40 && high - low > 1e-4; ++i) {
    const double middle = 0.5 * (low + high);
    (offset_left(contour, sign * middle).empty() ? high : low) = middle;
  }
  return std::copysign(std::floor(100 * low) / 100, too_far);
}

Segment lead_in_arc(const Contour& contour, const Operation& operation, int index, const AxisPath& path,
                    double away) {
  const bool part_left = part_on_left(contour, operation.keep, index);
  const auto fits = [&](double radius) {
    constexpr int kPlaces = 64;
    const Segment arc = quarter_onto(path, radius);
    for (int k = 0; k <= kPlaces; ++k)
      if (clearance(contour, part_left, arc.point(arc.length() * k / kPlaces)) < away - 1e-6) return false;
    return true;
  };
  if (fits(operation.lead_in)) return quarter_onto(path, operation.lead_in);
  double low = 0, high = operation.lead_in;
  for (int i = 0; i < 40 && high - low > 1e-4; ++i) {
    const double middle = 0.5 * (low + high);
    (fits(middle) ? low : high) = middle;
  }
  throw JobError(fmt::format("the lead-in of {} runs into the part; set lead_in to {} or less",
                             both_units(operation.lead_in), both_units(std::floor(100 * low) / 100)),
                 index);
}

Segment lead_out_arc(const AxisPath& path, double radius, double from) {
  const Contour& c = path.contour;
  const double s = c.closed() ? from - c.length() * std::floor(from / c.length()) : from;
  const Vec2 begin = c.point(s), along = c.tangent(s);
  const Vec2 outward = path.part_left ? -perp(along) : perp(along);
  const Vec2 centre = begin + radius * outward;
  const double turn = path.part_left ? -0.5 * std::numbers::pi : 0.5 * std::numbers::pi;
  Segment arc = Segment::arc(centre, radius, angle_of(begin - centre), turn);
  arc.a = begin;
  return arc;
}

}  // namespace ovolo
