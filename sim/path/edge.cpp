#include <fmt/format.h>

#include <cmath>

#include "sim/error.hpp"
#include "sim/path/passes.hpp"
#include "sim/text.hpp"

namespace ovolo {

void plan_edge(const OperationContext& context, Route& route) {
  const Contour& contour = context.named.contour;
  const double away = context.operation.offset;
  const auto paths = axis_paths(contour, context.operation, context.index, away);
  if (paths.empty())
    throw JobError(
        fmt::format("with the axis {} {} the line there is no room for a path; set offset to {} or {}",
                    both_units(std::abs(away)), away > 0 ? "off" : "inside",
                    both_units(farthest_path(contour, context.operation, context.index, away)),
                    away > 0 ? "less" : "more"),
        context.index);
  for (const Vec2 by : context.named.at) {
    route.place(by);
    cut_passes(context, route, paths, away);
  }
}

}  // namespace ovolo
