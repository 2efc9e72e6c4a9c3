#include "sim/path/turned_sheet.hpp"

#include <cmath>

namespace ovolo {

Segment PlaneMotion::operator()(const Segment& s) const {
  Segment out = s;
  out.a = (*this)(s.a);
  out.b = (*this)(s.b);
  if (!s.is_arc()) return out;
  out.centre = (*this)(s.centre);
  const Vec2 from = unit(s.angle);
  out.angle = angle_of(from.x * x + from.y * y);
  if (cross(x, y) < 0) out.sweep = -s.sweep;
  return out;
}

Contour PlaneMotion::operator()(const Contour& c) const {
  std::vector<Segment> segments;
  for (const Segment& s : c.segments()) segments.push_back((*this)(s));
  const Contour moved(std::move(segments), c.closed());
  return c.closed() && cross(x, y) < 0 ? moved.reversed() : moved;  // its sense stays
}

PlaneMotion PlaneMotion::inverse() const {
  PlaneMotion out;
  out.x = {x.x, y.x};
  out.y = {x.y, y.y};
  out.shift = -(shift.x * out.x + shift.y * out.y);
  return out;
}

PlaneMotion operator*(const PlaneMotion& after, const PlaneMotion& before) {
  PlaneMotion out;
  out.shift = after(before.shift);
  out.x = before.x.x * after.x + before.x.y * after.y;
  out.y = before.y.x * after.x + before.y.y * after.y;
  return out;
}

SheetPose sheet_pose(const Stock& stock, const std::vector<Operation>& operations, std::uint32_t set_up) {
  SheetPose pose;
  const Turn* last = nullptr;
  std::uint32_t turns = 0;
  for (const Operation& op : operations) {
    if (op.kind != OperationKind::turn) continue;
    if (turns++ == set_up) break;
    last = &op.turn;
    PlaneMotion over;
    if (op.turn.about == Turn::About::y) {
      over.x = {-1, 0};
      over.shift = {stock.width, 0};
    } else {
      over.y = {0, -1};
      over.shift = {0, stock.height};
    }
    pose.nominal = over * pose.nominal;
  }
  pose.real = pose.nominal;
  if (last == nullptr || (last->error == Vec2{} && last->angle == 0)) return pose;
  PlaneMotion error;
  error.x = unit(last->angle);
  error.y = perp(error.x);
  error.shift = last->error;
  pose.real = error * pose.nominal;
  return pose;
}

void place_on_sheet(const SheetPose& pose, std::vector<ProgramMotion>& program) {
  const PlaneMotion to_sheet = pose.nominal.inverse();
  if (to_sheet.identity()) return;
  for (ProgramMotion& motion : program) motion.path = to_sheet(motion.path);
}

void lay_turned(const Job& job, Plan& plan) {
  std::uint32_t known = 0;
  PlaneMotion really;
  for (Move& move : plan.moves) {
    if (move.set_up == 0) continue;
    if (move.set_up != known) {
      known = move.set_up;
      const SheetPose pose = sheet_pose(job.stock, job.operations, known);
      really = pose.real == pose.nominal ? PlaneMotion{} : pose.real.inverse() * pose.nominal;
    }
    if (really.identity()) continue;
    if (move.region >= 0)
      for (Contour& loop : plan.regions[static_cast<std::size_t>(move.region)].loops) loop = really(loop);
    else
      move.path = really(move.path);
  }
}

}  // namespace ovolo
