#include "sim/path/passes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/error.hpp"
#include "sim/text.hpp"

namespace ovolo {
namespace {

constexpr double kMostTurns = 1000;  // a ramp or overlap of more turns is a slip of the pen

// A stretch of a path on which the tip may not go below z, as distances from where the walk begins.
struct Floor {
  double from, to;
  double z;
};

// Follows a path from arc length `from` with the height running from z0 to z1, but not below the raised
// stretches.
class Walk {
 public:
  Walk(Route& route, const Contour& path, const std::vector<Raised>& raised)
      : route_(route), path_(path), raised_(raised) {}

  void follow(double from, double length, double z0, double z1) {
    const std::vector<Floor> floors = floors_of(from, length);
    std::vector<double> marks{0, length};
    for (const Floor& f : floors) {
      marks.push_back(f.from);
      marks.push_back(f.to);
      const double level = z0 == z1 ? -1 : (f.z - z0) / (z1 - z0) * length;
      if (level > f.from && level < f.to) marks.push_back(level);
    }
    std::sort(marks.begin(), marks.end());
    for (std::size_t k = 0; k + 1 < marks.size(); ++k) {
      const double a = marks[k], b = marks[k + 1];
      if (b - a <= 1e-9) continue;
      double lowest = -1e300;
      for (const Floor& f : floors)
        if (f.from <= 0.5 * (a + b) && 0.5 * (a + b) <= f.to) lowest = std::max(lowest, f.z);
      const double za = std::max(std::lerp(z0, z1, a / length), lowest);
      const double zb = std::max(std::lerp(z0, z1, b / length), lowest);
      route_.plunge(za);
      route_.follow(path_, from + a, b - a, za, zb, za == zb ? MoveRole::cut : MoveRole::ramp);
    }
  }

 private:
  Route& route_;
  const Contour& path_;
  const std::vector<Raised>& raised_;

  std::vector<Floor> floors_of(double from, double length) const {
    std::vector<Floor> floors;
    const double whole = path_.length();
    for (const Raised& r : raised_) {
      double begin = r.from - from;
      double step = length + r.length;  // an open path is passed once
      if (path_.closed()) {
        step = whole;
        begin -=
            whole * std::ceil((begin + r.length) / whole);  // the last time round that ends before the walk
      }
      for (; begin < length; begin += step) {
        const Floor f{std::max(begin, 0.0), std::min(begin + r.length, length), r.z};
        if (f.to > f.from) floors.push_back(f);
      }
    }
    return floors;
  }
};

// An undercut bit that came in on an arc goes out on one: straight up it would cut what its path leaves.
void leave(const OperationContext& context, Route& route, const AxisPath& path, const Segment* lead,
           double at) {
  if (lead == nullptr || !context.bit.profile.undercut()) return;
  route.along(lead_out_arc(path, context.operation.lead_in, at), route.height(), route.height(),
              MoveRole::lead);
}

void closed_passes(const OperationContext& context, Route& route, const AxisPath& path,
                   const std::vector<Raised>& raised, const Segment* lead) {
  const Operation& op = context.operation;
  const double whole = path.contour.length();
  Walk walk(route, path.contour, raised);
  double at = path.start;
  double previous = 0;
  std::uint32_t pass = 0;
  for (const double depth : context.depths()) {
    const double z = -depth;
    route.pass(pass);
    if (lead != nullptr && (pass == 0 || op.ramp <= 0)) {
      at = path.start;
      route.approach(lead->a, previous);
      if (op.ramp <= 0) route.plunge(z);
      route.along(*lead, route.height(), route.height(), MoveRole::lead);
    } else if (pass == 0) {
      route.approach(path.contour.point(at - whole * std::floor(at / whole)), previous);
    }
    if (op.ramp > 0 && z < previous) {
      walk.follow(at, op.ramp, previous, z);
      at += op.ramp;
    }
    walk.follow(at, whole + op.overlap, z, z);
    at += op.overlap;
    leave(context, route, path, lead, at);
    previous = z;
    ++pass;
  }
  route.lift();
}

void open_passes(const OperationContext& context, Route& route, const AxisPath& path,
                 const std::vector<Raised>& raised, const Segment* lead) {
  const Operation& op = context.operation;
  const double whole = path.contour.length();
  const double ramp = std::min(op.ramp, whole);
  const Contour back = path.contour.reversed();
  std::vector<Raised> raised_back;
  for (const Raised& r : raised) raised_back.push_back({whole - r.from - r.length, r.length, r.z});
  Walk walk(route, path.contour, raised);
  Walk walk_back(route, back, raised_back);
  double previous = 0;
  std::uint32_t pass = 0;
  for (const double depth : context.depths()) {
    const double z = -depth;
    route.pass(pass);
    route.approach(lead != nullptr ? lead->a : path.contour.point(0), previous);
    if (lead != nullptr) {
      if (ramp <= 0) route.plunge(z);
      route.along(*lead, route.height(), route.height(), MoveRole::lead);
    }
    if (ramp > 0 && z < previous) {
      walk.follow(0, ramp, previous, z);
      walk_back.follow(whole - ramp, ramp, z, z);
    }
    walk.follow(0, whole, z, z);
    leave(context, route, path, lead, whole);
    route.lift();
    previous = z;
    ++pass;
  }
}

}  // namespace

void cut_passes(const OperationContext& context, Route& route, const std::vector<AxisPath>& paths,
                double away, const std::vector<Raised>& raised) {
  const Operation& op = context.operation;
  for (const AxisPath& path : paths) {
    if (path.contour.closed() && op.ramp + op.overlap > kMostTurns * path.contour.length())
      throw JobError(
          fmt::format(
              "a ramp of {} and an overlap of {} go more than {} times round a path of {}; set them to less",
              both_units(op.ramp), both_units(op.overlap), kMostTurns, both_units(path.contour.length())),
          context.index);
    Segment arc;
    if (op.lead_in > 0) arc = lead_in_arc(context.named.contour, op, context.index, path, away);
    const Segment* lead = op.lead_in > 0 ? &arc : nullptr;
    if (path.contour.closed()) {
      closed_passes(context, route, path, raised, lead);
    } else {
      open_passes(context, route, path, raised, lead);
    }
  }
}

}  // namespace ovolo
