#include "io/program/path_builder.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ovolo::io {

void PathBuilder::tool_change(int tool, LineColumn at) {
  if (tool != 0 && !placement_.bits.contains(tool))
    throw ProgramError(
        at, fmt::format("tool {} is changed to, but no bit of the scene is given for it: add it to the "
                        "operation's tools",
                        tool));
}

void PathBuilder::dwell(double seconds, LineColumn) { dwell_ += seconds; }
void PathBuilder::message(std::string_view, LineColumn) {}

void PathBuilder::stop(ProgramStop kind, LineColumn) {
  if (kind == ProgramStop::hand_retract) ++hand_retracts_;
}

void PathBuilder::motion(const TipMotion& motion) {
  if (motion.turning == Turning::oriented)
    throw ProgramError(motion.at,
                       "back boring (G87) passes a one-sided cutter through the bore, which cannot be shown "
                       "with a turned bit: cut the counterbore from the other face");
  if (motion.tool == 0) {
    if (!motion.rapid)
      throw ProgramError(
          motion.at,
          "a feed move with no tool in the spindle: change to one with T and M6 before, or tell "
          "which tool is in the spindle when the program starts");
    ++empty_rapids_;
    return;
  }
  if (motion.arc && motion.arc->plane != Plane::xy) {
    add_vertical_arc(motion);
    return;
  }
  Segment path = Segment{};
  path.a = on_sheet(motion.start);
  path.b = on_sheet(motion.end);
  if (motion.arc) {
    path.centre = on_sheet(motion.arc->centre);
    path.radius = 0.5 * (distance(path.a, path.centre) + distance(path.b, path.centre));
    path.angle = angle_of(path.a - path.centre);
    path.sweep = motion.arc->sweep;
  }
  add(path, height(motion.start[2]), height(motion.end[2]), motion);
}

void PathBuilder::add_vertical_arc(const TipMotion& motion) {
  ++vertical_arcs_;
  const ProgramArc& arc = *motion.arc;
  const PlaneAxes axes = axes_of(arc.plane);
  const Vec2 centre = axes.in_plane(arc.centre), from = axes.in_plane(motion.start) - centre;
  const double radius = length(from);
  // A chord over the angle t lies radius (1 - cos(t / 2)) off the arc.
  const double step =
      radius > kChordTolerance ? 2 * std::acos(1 - kChordTolerance / radius) : std::numbers::pi;
  const double pieces = std::ceil(std::abs(arc.sweep) / step);
  if (pieces > static_cast<double>(limits_.motions))
    throw ProgramError(motion.at, "this arc stands for too many straight lines: split the program");
  const auto count = static_cast<std::size_t>(std::max(1.0, pieces));
  Point3 last = motion.start;
  for (std::size_t i = 1; i <= count; ++i) {
    Point3 next = motion.end;
    if (i < count) {
      const double part = static_cast<double>(i) / static_cast<double>(count);
      const Vec2 turn = unit(part * arc.sweep);
      axes.set(next, centre + Vec2{turn.x * from.x - turn.y * from.y, turn.x * from.y + turn.y * from.x});
      next[axes.c] = motion.start[axes.c] + part * (motion.end[axes.c] - motion.start[axes.c]);
    }
    Segment line;
    line.a = on_sheet(last);
    line.b = on_sheet(next);
    add(line, height(last[2]), height(next[2]), motion);
    last = next;
  }
}

void PathBuilder::add(Segment path, double z0, double z1, const TipMotion& motion) {
  if (motions_.size() >= limits_.motions)
    throw ProgramError(motion.at,
                       fmt::format("the program makes more than {} motions: split it", limits_.motions));
  const auto bit = placement_.bits.find(motion.tool);
  if (bit == placement_.bits.end())
    throw ProgramError(motion.at,
                       fmt::format("tool {} is in the spindle, but no bit of the scene is given for it: add "
                                   "it to the operation's tools",
                                   motion.tool));
  ProgramMotion out;
  out.path = path;
  out.z0 = z0;
  out.z1 = z1;
  out.rapid = motion.rapid;
  out.spindle_on = motion.turning != Turning::stopped && motion.speed > 0;
  out.feed = motion.feed;
  out.spindle = motion.speed;
  out.bit = bit->second;
  out.line = motion.at.line;
  motions_.push_back(out);
}

}  // namespace ovolo::io
