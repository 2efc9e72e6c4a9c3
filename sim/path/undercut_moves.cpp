#include "sim/path/undercut_moves.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/error.hpp"
#include "sim/path/axis_path.hpp"
#include "sim/text.hpp"

namespace ovolo {
namespace {

constexpr double kTouch = 1e-6;  // mm

bool off_sheet(const Stock& stock, Vec2 p, double reach) {
  const Vec2 nearest{std::clamp(p.x, 0.0, stock.width), std::clamp(p.y, 0.0, stock.height)};
  return distance(p, nearest) >= reach - kTouch;
}

// Has everything under the bit been cleared down to its tip by moves of upward open bits before move `index`?
bool opened(const Job& job, const Plan& plan, std::size_t index, Vec2 p, double reach, double tip) {
  const Move& move = plan.moves[index];
  std::vector<const Move*> before;
  for (std::size_t i = 0; i < index; ++i) {
    const Move& m = plan.moves[i];
    const Profile& profile = job.bits[m.bit].profile;
    if (m.role == MoveRole::rapid || m.set_up != move.set_up || profile.undercut()) continue;
    const Box2 box = m.region >= 0 ? plan.regions[static_cast<std::size_t>(m.region)].box() : m.path.box();
    if (box.grown(profile.cutting_radius() + reach).contains(p)) before.push_back(&m);
  }
  const auto open_at = [&](Vec2 q) {
    if (q.x < 0 || q.y < 0 || q.x > job.stock.width || q.y > job.stock.height) return true;
    return std::any_of(before.begin(), before.end(), [&](const Move* m) {
      return swept_height(*m, job.bits[m->bit].profile, plan.regions, q) <= tip + kTouch;
    });
  };
  if (before.empty() || !open_at(p)) return false;
  constexpr int kRings = 4, kPlaces = 32;
  for (int ring = 1; ring <= kRings; ++ring)
    for (int k = 0; k < kPlaces; ++k) {
      const double r = (reach - kTouch) * ring / kRings;
      if (!open_at(p + r * unit(2 * std::numbers::pi * k / kPlaces))) return false;
    }
  return true;
}

// How far p is off the part that the operation works on; infinite when it names no contour.
double off_part(const Job& job, const Operation& op, int index, Vec2 p) {
  double least = std::numeric_limits<double>::infinity();
  if (op.contour < 0) return 0;
  const NamedContour& named = job.contours[static_cast<std::size_t>(op.contour)];
  const bool part_left = part_on_left(named.contour, op.keep, index);
  for (const Vec2 at : named.at) least = std::min(least, clearance(named.contour, part_left, p - at));
  return least;
}

}  // namespace

void check_undercut_moves(const Job& job, const Plan& plan) {
  for (std::size_t i = 0; i < plan.moves.size(); ++i) {
    const Move& move = plan.moves[i];
    const Profile& profile = job.bits[move.bit].profile;
    if (move.region >= 0 || !profile.undercut() || move.path.length() > 1e-9 || move.z0 == move.z1) continue;
    const double tip = std::min(move.z0, move.z1), reach = profile.cutting_radius();
    const Vec2 p = move.path.a;
    if (tip >= 0 || off_sheet(job.stock, p, reach)) continue;
    const Operation& op = job.operations[move.operation];
    const int index = static_cast<int>(move.operation);
    const double off = off_part(job, op, index, p);
    if (off >= reach - kTouch || opened(job, plan, i, p, reach, tip)) continue;
    std::string mend;
    if (op.kind == OperationKind::program)
      mend =
          fmt::format("lead the program's path {} off the part before it goes up or down", at_least(reach));
    else if (job.contours[static_cast<std::size_t>(op.contour)].contour.closed())
      mend = fmt::format("set lead_in to {} or more, so that it comes in and leaves from the side",
                         at_least(std::max(0.0, reach - op.offset)));
    else
      mend = fmt::format(
          "let the path run past the sheet (overrun = {} beyond its border), set lead_in to {} or more, or "
          "open "
          "a place {} across for it first",
          at_least(reach), at_least(std::max(0.0, reach - op.offset)), both_units(2 * reach));
    throw JobError(
        fmt::format("the undercut bit `{}`, {} across, goes straight {} at x {:.2f}, y {:.2f} with its "
                    "tip {} below the face: it would tear away what stands above its path; {}",
                    job.bits[move.bit].id, both_units(2 * reach), move.z1 > move.z0 ? "up" : "down", p.x, p.y,
                    both_units(-tip), mend),
        index);
  }
}

}  // namespace ovolo
