#include <fmt/format.h>

#include <cmath>

#include "sim/error.hpp"
#include "sim/path/passes.hpp"
#include "sim/text.hpp"

namespace ovolo {

namespace {

// An open path that begins and ends `overrun` mm beyond, straight on.
AxisPath overrunning(const AxisPath& path, double overrun) {
  const Contour& c = path.contour;
  const Vec2 first = c.point(0), last = c.point(c.length());
  std::vector<Segment> segments{Segment::line(first - overrun * c.tangent(0), first)};
  segments.insert(segments.end(), c.segments().begin(), c.segments().end());
  segments.push_back(Segment::line(last, last + overrun * c.tangent(c.length())));
  return {Contour(std::move(segments), false), path.start, path.part_left};
}

}  // namespace

void plan_edge(const OperationContext& context, Route& route) {
  const Contour& contour = context.named.contour;
  const double away = context.operation.offset;
  auto paths = axis_paths(contour, context.operation, context.index, away);
  if (paths.empty())
    throw JobError(
        fmt::format("with the axis {:.4g} mm {} the line there is no room for a path; set offset to {} or {}",
                    std::abs(away), away > 0 ? "off" : "inside",
                    both_units(farthest_path(contour, context.operation, context.index, away)),
                    away > 0 ? "less" : "more"),
        context.index);
  if (context.operation.overrun > 0)
    for (AxisPath& path : paths)
      if (!path.contour.closed()) path = overrunning(path, context.operation.overrun);
  for (const Vec2 by : context.named.at) {
    route.place(by);
    cut_passes(context, route, paths, away);
  }
}

}  // namespace ovolo
