#include "sim/solid/finished_sheet.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/parallel.hpp"
#include "sim/path/dominated.hpp"
#include "sim/solid/least_along.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

}  // namespace

FinishedSheet::FinishedSheet(const Job& job, const Plan& plan, const MoveIndex& index, SolidOf what,
                             const std::optional<Box2>& window)
    : job_(job),
      plan_(plan),
      index_(index),
      thickness_(job.stock.thickness()),
      wall_(job),
      walled_(what == SolidOf::part && wall_.bounds()),
      windowed_(window.has_value()) {
  plan_box_ = {{0, 0}, {job.stock.width, job.stock.height}};
  if (window)
    plan_box_ = {{std::max(0.0, window->lo.x), std::max(0.0, window->lo.y)},
                 {std::min(job.stock.width, window->hi.x), std::min(job.stock.height, window->hi.y)}};
  // Shanks count where sections know of them.
  const bool shanks = needs_voxels(job);
  for (const Bit& bit : job.bits) {
    Bit plain = bit;
    if (!shanks) plain.shank_diameter.reset();
    bodies_.emplace_back(plain);
  }
  for (const Surface& s : plan.surfaces)
    if (!s.flat()) slack_ = 1.05;
  find_hidden();
  if (!walled_ || wall_.box().empty()) return;
  // A hair wider, so that the wall and the border of the box are never one and the same.
  const Box2 all = wall_.box().grown(1e-3);
  plan_box_ = {{std::max(plan_box_.lo.x, all.lo.x), std::max(plan_box_.lo.y, all.lo.y)},
               {std::min(plan_box_.hi.x, all.hi.x), std::min(plan_box_.hi.y, all.hi.y)}};
}

// Higher passes along a lower one's path: they are many, and cost as much as the lowest to look at.
void FinishedSheet::find_hidden() {
  hidden_.assign(plan_.moves.size(), 0);
  parallel_for(
      hidden_.size(),
      [&](std::size_t i) {
        const Move& m = plan_.moves[i];
        if (m.region >= 0 || m.role == MoveRole::rapid || !m.counted || !bodies_[m.bit].widens()) return;
        std::vector<std::uint32_t> others;
        Box2 start;
        start.add(m.path.a);
        index_.query(start, others);
        // Of equals the last is kept.
        hidden_[i] = std::any_of(others.begin(), others.end(), [&](std::uint32_t k) {
          return k != i && dominated(m, plan_.moves[k]) && (k > i || !dominated(plan_.moves[k], m));
        });
      },
      64);
}

double FinishedSheet::move(const Move& m, Point3 p, Wanted wanted) const {
  const Vec2 q{p.x, p.y};
  const BitBody& body = bodies_[m.bit];
  const double h = (turned_over(m.set_up) ? -thickness_ - p.z : p.z) - plan_.surfaces[m.surface].delta(q);
  const double away =
      m.region >= 0 ? plan_.regions[static_cast<std::size_t>(m.region)].distance(q) : m.path.distance(q);
  const double far = std::max(away - body.reach(), std::min(m.z0, m.z1) - h);
  if (far > 0 && far >= wanted.below) return far;
  if (m.region >= 0 || m.level()) return body.distance({away, h - m.z0});
  const double run = m.path.length(), rise = m.z1 - m.z0;
  if (run == 0 && body.widens()) return body.distance({distance(q, m.path.a), h - std::min(m.z0, m.z1)});
  const auto at = [&](double t) {
    const Vec2 axis = run > 0 ? m.path.point(t * run) : m.path.a;
    return body.distance({distance(q, axis), h - (m.z0 + t * rise)});
  };
  return LeastAlong(at, std::hypot(run, rise), std::clamp(0.02 * body.reach(), 0.03, 0.1), wanted.below,
                    wanted.plenty)
      .find();
}

double FinishedSheet::surface(Owner owner, Point3 p, Wanted wanted) const {
  switch (owner) {
    case 0:
      return p.z;
    case 1:
      return -thickness_ - p.z;
    case 2:
      return plan_box_.lo.x - p.x;
    case 3:
      return p.x - plan_box_.hi.x;
    case 4:
      return plan_box_.lo.y - p.y;
    case 5:
      return p.y - plan_box_.hi.y;
    case kPart:
      return -wall_.depth({p.x, p.y});
    default:
      return -move(plan_.moves[owner - kMoves], p, wanted);
  }
}

std::vector<FinishedSheet::Owner> FinishedSheet::all_near(Point3 p, double radius) const {
  std::vector<Owner> owners;
  for (Owner o = 0; o < kPart; ++o) owners.push_back(o);
  if (walled_) owners.push_back(kPart);
  std::vector<std::uint32_t> moves;
  index_.query(Box2{{p.x, p.y}, {p.x, p.y}}.grown(radius), moves);
  for (const std::uint32_t m : moves)
    if (!hidden_[m]) owners.push_back(m + kMoves);
  return owners;
}

bool FinishedSheet::climbs(Owner owner) const {
  if (owner < kMoves) return false;
  const Move& m = plan_.moves[owner - kMoves];
  return m.region < 0 && !m.level();
}

FinishedSheet::Near FinishedSheet::near(Point3 centre, double radius) const {
  Near all;
  all.state = Near::State::mixed;
  all.owners = all_near(centre, radius * slack_);
  Near out;
  near(all, centre, radius, out);
  return out;
}

void FinishedSheet::near(const Near& around, Point3 centre, double radius, Near& out) const {
  out.owners.clear();
  out.state = around.state;
  if (around.state != Near::State::mixed) return;
  out.state = Near::State::full;
  const double reach = radius * slack_;
  for (const Owner o : around.owners) {
    const double v = surface(o, centre, {reach * (1 + 1e-12), -reach});
    if (v > reach) {
      out.state = Near::State::empty;
      out.owners.clear();
      return;
    }
    if (v >= -reach) out.owners.push_back(o);
  }
  if (!out.owners.empty()) out.state = Near::State::mixed;
}

double FinishedSheet::most_of(const std::vector<Owner>& owners, Point3 p, Owner* owner) const {
  double most = -kInfinity;
  // What climbs takes longest, and need only be known as far as it can matter.
  for (const bool climbing : {false, true})
    for (const Owner o : owners) {
      if (climbs(o) != climbing) continue;
      const double v = surface(o, p, {-most, -kInfinity});
      if (v > most) {
        most = v;
        if (owner) *owner = o;
      }
    }
  return most;
}

double FinishedSheet::value(const Near& near, Point3 p, Owner* owner) const {
  if (near.state != Near::State::mixed) return near.state == Near::State::full ? -kInfinity : kInfinity;
  return most_of(near.owners, p, owner);
}

std::vector<Point3> FinishedSheet::kept_places() const {
  if (windowed_) return {};
  const std::vector<PartWall::Way> ways = wall_.ways();
  std::vector<std::optional<Point3>> found(ways.size());
  parallel_for(
      ways.size(), [&](std::size_t i) { found[i] = first_material(ways[i]); }, 8);
  std::vector<Point3> out;
  for (const auto& p : found)
    if (p) out.push_back(*p);
  return out;
}

std::optional<Point3> FinishedSheet::first_material(const PartWall::Way& way) const {
  constexpr double kFarthest = 60;
  for (double u = 0.02; u < kFarthest; u *= 1.3) {
    const Vec2 q = way.from + u * way.inward;
    if (!plan_box_.contains(q) || wall_.depth(q) <= 0) return {};
    for (double z = -0.001 * thickness_; z > -thickness_;) {
      const double f = value(Point3{q.x, q.y, z});
      if (f < 0) return Point3{q.x, q.y, z};
      z -= std::max(f, 0.02);
    }
  }
  return {};
}

double FinishedSheet::value(Point3 p) const {
  // Moves farther away than the box asked for are at least that far.
  return std::max(most_of(all_near(p, 1), p, nullptr), -1.0);
}

Point3 FinishedSheet::normal(Owner owner, Point3 p) const {
  switch (owner) {
    case 0:
      return {0, 0, 1};
    case 1:
      return {0, 0, -1};
    case 2:
      return {-1, 0, 0};
    case 3:
      return {1, 0, 0};
    case 4:
      return {0, -1, 0};
    case 5:
      return {0, 1, 0};
    default:
      break;
  }
  constexpr double kStep = 1e-5;
  const auto at = [&](Point3 q) { return surface(owner, q, {kInfinity, -kInfinity}); };
  Point3 g{at({p.x + kStep, p.y, p.z}) - at({p.x - kStep, p.y, p.z}),
           at({p.x, p.y + kStep, p.z}) - at({p.x, p.y - kStep, p.z}),
           at({p.x, p.y, p.z + kStep}) - at({p.x, p.y, p.z - kStep})};
  const double n = length(g);
  return n > 0 ? (1 / n) * g : Point3{0, 0, 1};
}

}  // namespace ovolo
