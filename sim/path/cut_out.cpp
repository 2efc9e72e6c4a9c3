#include <fmt/format.h>

#include <cmath>

#include "sim/error.hpp"
#include "sim/path/passes.hpp"
#include "sim/text.hpp"

namespace ovolo {
namespace {

// The stretches over which the bit is raised: the tab and the bit's own width, so that the tab is as wide as
// told where the axis passes. Half a spacing from the start, so that a pass does not begin in one.
std::vector<Raised> tabs_on(const OperationContext& context, const AxisPath& path) {
  const Tabs& tabs = context.operation.tabs;
  std::vector<Raised> raised;
  if (tabs.count <= 0) return raised;
  const double length = path.contour.length();
  const double bit = 2 * context.bit.profile.cutting_radius();
  const double spacing = length / tabs.count;
  if (tabs.width + bit >= spacing)
    throw JobError(
        fmt::format("{} tabs of {} do not fit on a path of {} (the bit is raised over {} for each); set tabs "
                    "to {} or "
                    "fewer, or their width to {} or less",
                    tabs.count, both_units(tabs.width), both_units(length), both_units(tabs.width + bit),
                    static_cast<int>(std::ceil(length / (tabs.width + bit)) - 1),
                    both_units(std::floor(10 * std::fmax(0, spacing - bit)) / 10)),
        context.index);
  const double z = tabs.height - context.job.stock.thickness();
  for (int i = 0; i < tabs.count; ++i) {
    const double middle = path.start + (i + 0.5) * spacing;
    raised.push_back({middle - 0.5 * (tabs.width + bit), tabs.width + bit, z});
  }
  return raised;
}

}  // namespace

void plan_cut_out(const OperationContext& context, Route& route) {
  const double radius = context.bit.profile.cutting_radius();
  const double away = radius + context.operation.offset;
  const Contour& contour = context.named.contour;
  const auto paths = axis_paths(contour, context.operation, context.index, away);
  if (paths.empty())
    throw JobError(
        fmt::format(
            "a bit {} across {} off the line finds no room for a path; use a bit of {} or less, or another "
            "offset",
            fine_units(2 * radius), fine_units(context.operation.offset),
            both_units(2 * std::fmax(0, farthest_path(contour, context.operation, context.index, away) -
                                            context.operation.offset))),
        context.index);
  for (const Vec2 by : context.named.at) {
    route.place(by);
    for (const AxisPath& path : paths) cut_passes(context, route, {path}, away, tabs_on(context, path));
  }
}

}  // namespace ovolo
