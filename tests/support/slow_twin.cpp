#include "tests/support/slow_twin.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "sim/bit/forms.hpp"

namespace ovolo::test {
namespace {

constexpr double kPi = std::numbers::pi;

}  // namespace

double slow_height(const Job& job, const Plan& plan, Vec2 p) {
  double height = 0;
  for (const Move& move : plan.moves) {
    if (move.role == MoveRole::rapid) continue;
    height = std::min(height, swept_height(move, job.bits[move.bit].profile, plan.regions, p) +
                                  plan.surfaces[move.surface].delta(p));
  }
  return height;
}

double stamped_height(const Move& move, const Profile& profile, Vec2 p, int stamps, int rounds) {
  const double whole = move.path.length();
  double from = 0, to = whole, best = std::numeric_limits<double>::infinity();
  for (int round = 0; round <= rounds; ++round) {
    double best_at = from, best_here = std::numeric_limits<double>::infinity();
    for (int i = 0; i <= stamps; ++i) {
      const double s = from + (to - from) * i / stamps;
      const double share = whole > 0 ? s / whole : (move.z1 < move.z0 ? 1 : 0);
      const double z = move.z0 + (move.z1 - move.z0) * share;
      const double here = z + profile.height(distance(p, move.path.point(s)));
      if (here < best_here) {
        best_here = here;
        best_at = s;
      }
    }
    best = std::min(best, best_here);
    const double step = (to - from) / stamps;
    from = std::max(0.0, best_at - step);
    to = std::min(whole, best_at + step);
  }
  return best;
}

std::vector<Profile> sample_profiles() {
  std::vector<Profile> out;
  Roundover whole;  // a full point
  whole.radius = whole.working_depth = whole.cutting_radius = 2;
  out.push_back(point_roundover(whole, 3));
  Roundover worn;  // a shortened one with a flat
  worn.radius = 3;
  worn.working_depth = 2.4;
  worn.tip_radius = 3 - std::sqrt(9 - 0.36);
  worn.cutting_radius = 3;
  out.push_back(point_roundover(worn, 3));
  out.push_back(straight(4, 5));
  out.push_back(ball(5, 5));
  out.push_back(chamfer(kPi / 4, 0.5, 6, 2));
  out.push_back(chamfer(1.5, 0, 5, 2));  // 86 degrees from the axis: flatter than many ramps
  out.push_back(cove(2, 1, 3));
  out.push_back(ovolo_form(2, 0.4, 0.5, 0.5, 3));
  out.push_back(ogee(1.2, 1, 0.4, 0.2, 0.3, 3));
  // Steps, cones and a shallow round, one upon the other.
  out.push_back(
      Profile({Segment::line({0, 0}, {0.6, 0}), Segment::line({0.6, 0}, {0.6, 0.4}),
               Segment::line({0.6, 0.4}, {1.4, 0.9}), Segment::line({1.4, 0.9}, {1.4, 1.5}),
               Segment::line({1.4, 1.5}, {1.9, 1.5}), Segment::arc({1.9, 9.5}, 8, -kPi / 2, 0.15)}));
  // Hollow at the tip: the cut of a through move is level there.
  out.push_back(Profile({Segment::line({0, 0.5}, {1, 0}), Segment::line({1, 0}, {2.5, 1})}));
  return out;
}

Move line_move(Vec2 a, Vec2 b, double z0, double z1, std::uint32_t bit) {
  Move move;
  move.path = Segment::line(a, b);
  move.z0 = z0;
  move.z1 = z1;
  move.bit = bit;
  return move;
}

Move arc_move(Vec2 centre, double radius, double from, double sweep, double z0, double z1,
              std::uint32_t bit) {
  Move move = line_move({}, {}, z0, z1, bit);
  move.path = Segment::arc(centre, radius, from, sweep);
  return move;
}

Job sample_job(double width, double height, const std::vector<Profile>& profiles) {
  Job job;
  job.stock.width = width;
  job.stock.height = height;
  job.stock.layers = {{"cap", 1.3, {}}, {"core", 10.1, {}}, {"back", 1.3, {}}};
  for (const Profile& profile : profiles) {
    Bit bit;
    bit.profile = profile;
    job.bits.push_back(bit);
  }
  return job;
}

Plan random_plan(const Job& job, std::uint32_t seed, int moves) {
  std::mt19937 random(seed);
  const auto between = [&](double lo, double hi) {
    return lo + (hi - lo) * (static_cast<double>(random()) / 4294967296.0);
  };
  const auto one_in = [&](unsigned n) { return random() % n == 0; };
  Plan plan;
  for (int i = 0; i < moves; ++i) {
    const Vec2 a{between(0, job.stock.width), between(0, job.stock.height)};
    const double z0 = between(-6, 0.5);
    const double z1 = one_in(3) ? z0 : between(-6, 0.5);
    Move move;
    if (one_in(3)) {
      const double sense = one_in(2) ? 1 : -1;
      const double sweep = one_in(4) ? 2 * kPi : between(0.05, 2 * kPi);
      move = arc_move(a, one_in(3) ? between(0.2, 3) : between(3, 40), between(-kPi, kPi), sense * sweep, z0,
                      z1);
    } else if (one_in(8)) {
      move = line_move(a, a, z0, z1);
    } else if (one_in(4)) {
      move = line_move(
          a, one_in(2) ? Vec2{between(0, job.stock.width), a.y} : Vec2{a.x, between(0, job.stock.height)}, z0,
          z1);
    } else {
      move = line_move(a, a + between(0.5, 30) * unit(between(-kPi, kPi)), z0, z1);
    }
    if (one_in(12)) {
      Region region;
      region.loops.push_back(Contour::rectangle(a, {between(4, 25), between(4, 25)}, between(0.1, 1.9)));
      if (one_in(2)) region.loops.push_back(Contour::circle(a, between(0.3, 1.5)).reversed());
      move.region = static_cast<std::int32_t>(plan.regions.size());
      move.z1 = move.z0;
      plan.regions.push_back(region);
    }
    move.bit = static_cast<std::uint32_t>(random() % job.bits.size());
    move.role = one_in(15) ? MoveRole::rapid : MoveRole::cut;
    plan.moves.push_back(move);
  }
  return plan;
}

}  // namespace ovolo::test
