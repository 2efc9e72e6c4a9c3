#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/error.hpp"
#include "sim/geometry/offset.hpp"
#include "sim/path/axis_path.hpp"
#include "sim/path/operations.hpp"
#include "sim/text.hpp"

namespace ovolo {
namespace {

constexpr std::size_t kMostRings = 200000;

// A ring of the clearing and the rings just inside it.
struct Ring {
  Contour path;  // in the direction of travel
  std::vector<std::size_t> inner;
};

// The rings of a pocket, one stepover apart, and which lies in which. The first `outer` ones are the
// outermost.
struct Rings {
  std::vector<Ring> rings;
  std::size_t outer = 0;
};

Rings rings_of(const OperationContext& context, double inset, double stepover) {
  const bool part_left = context.operation.direction == Direction::conventional;
  Rings all;
  std::vector<std::size_t> outside;  // the rings one step further out
  for (int step = 0;; ++step) {
    std::vector<std::size_t> here;
    std::vector<Contour> loops = offset_outward(context.named.contour, -(inset + step * stepover));
    for (Contour& loop : loops) {
      if (all.rings.size() >= kMostRings)
        throw JobError(fmt::format("a stepover of {} makes more than {} rings; set a wider one",
                                   fine_units(stepover), kMostRings),
                       context.index);
      // The wall lies outside the rings: on the left of clockwise travel.
      const bool clockwise = loop.signed_area() < 0;
      here.push_back(all.rings.size());
      const Vec2 p = loop.point(0);
      for (const std::size_t o : outside) {
        const Contour& outer = all.rings[o].path;
        if (outside.size() > 1 && !outer.contains(p) && outer.nearest(p).distance > 1e-6) continue;
        all.rings[o].inner.push_back(all.rings.size());
        break;
      }
      all.rings.push_back({clockwise == part_left ? std::move(loop) : loop.reversed(), {}});
    }
    if (step == 0) all.outer = here.size();
    if (here.empty()) return all;
    outside = std::move(here);
  }
}

// Cuts one pass of the rings, each ring's inner ones before it: innermost rings are come down into, from a
// ring to the next outer one it goes straight at depth to that one's nearest point, which is inside what has
// been cut or will be.
class Clearing {
 public:
  Clearing(const OperationContext& context, Route& route, const Rings& rings)
      : context_(context), route_(route), rings_(rings) {}

  void pass(double previous, double z) {
    // The rings in the order they are cut: each after all those within it.
    std::vector<std::size_t> order;
    for (std::size_t outer = 0; outer < rings_.outer; ++outer) {
      const std::size_t first = order.size();
      std::vector<std::size_t> open{outer};
      while (!open.empty()) {
        const std::size_t ring = open.back();
        open.pop_back();
        order.push_back(ring);
        const auto& inner = rings_.rings[ring].inner;
        open.insert(open.end(), inner.begin(), inner.end());
      }
      std::reverse(order.begin() + static_cast<std::ptrdiff_t>(first), order.end());
    }
    std::size_t last = rings_.rings.size();
    Vec2 at;
    for (const std::size_t ring : order) {
      const Contour& path = rings_.rings[ring].path;
      const auto& inner = rings_.rings[ring].inner;
      double from = 0;
      if (std::find(inner.begin(), inner.end(), last) != inner.end()) {
        const Contour::Nearest to = path.nearest(at);
        from = to.s;
        route_.along(Segment::line(at, to.point), z, z, MoveRole::cut);
      } else {
        from = come_in(path, previous, z);
      }
      route_.follow(path, from, path.length(), z, z, MoveRole::cut);
      at = path.point(from);
      last = ring;
    }
    route_.lift();
  }

 private:
  const OperationContext& context_;
  Route& route_;
  const Rings& rings_;

  // Down onto a ring, on a ramp round and round it unless it is hardly more than a point. Where the
  // ring is entered at depth.
  double come_in(const Contour& path, double previous, double z) {
    constexpr double kTurns = 50;
    const double ramp = context_.operation.ramp;
    route_.approach(path.point(0), previous);
    if (ramp <= 0 || ramp > kTurns * path.length() || z >= previous) {
      route_.plunge(z);
      return 0;
    }
    route_.follow(path, 0, ramp, previous, z, MoveRole::ramp);
    return std::fmod(ramp, path.length());
  }
};

double stepover_of(const OperationContext& context) {
  if (context.operation.stepover > 0) return context.operation.stepover;
  const double flat = 0.9 * context.bit.profile.tip_flat_radius();
  return std::max(flat, 0.2 * context.bit.profile.cutting_radius());
}

}  // namespace

void plan_pocket(const OperationContext& context, Route& route) {
  const Operation& op = context.operation;
  const Contour& contour = context.named.contour;
  if (!contour.closed()) throw JobError("a pocket needs a closed contour; close it", context.index);
  if (op.keep != Keep::outside)
    throw JobError("a pocket clears the inside of its contour: set keep to \"outside\"", context.index);
  const double radius = context.bit.profile.cutting_radius();
  const double stepover = stepover_of(context);
  if (stepover > 2 * radius)
    throw JobError(
        fmt::format(
            "a stepover of {} leaves ribs between the cuts of a bit {} across; set stepover to {} or less",
            fine_units(stepover), fine_units(2 * radius), both_units(2 * radius)),
        context.index);
  const double inset = radius + op.offset;
  const Rings rings = rings_of(context, inset, stepover);
  if (rings.rings.empty()) {
    throw JobError(
        fmt::format(
            "a bit {} across that leaves {} at the wall does not enter the pocket; use a bit of {} or less",
            fine_units(2 * radius), fine_units(op.offset),
            both_units(2 * std::max(0.0, farthest_path(contour, op, context.index, inset) - op.offset))),
        context.index);
  }
  // Rings no farther apart than the level tip's radius leave nothing between them: every place within the
  // outermost is within that radius of the ring just outside it. One level move over the area then stands for
  // them all.
  const bool level = stepover <= context.bit.profile.tip_flat_radius();
  Region area;
  for (std::size_t i = 0; i < rings.outer; ++i) {
    const Contour& loop = rings.rings[i].path;
    area.loops.push_back(loop.signed_area() < 0 ? loop.reversed() : loop);
  }
  Clearing clearing(context, route, rings);
  for (const Vec2 by : context.named.at) {
    route.place(by);
    double previous = 0;
    std::uint32_t pass = 0;
    for (const double depth : context.depths()) {
      route.pass(pass++);
      route.counted(!level);
      clearing.pass(previous, -depth);
      route.counted(true);
      if (level) route.region(area, -depth);
      previous = -depth;
    }
  }
}

}  // namespace ovolo
