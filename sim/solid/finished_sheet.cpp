#include "sim/solid/finished_sheet.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <utility>

#include "sim/solid/part_distance.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

// The least over t in [0, 1] of f, which changes by at most `rate` over the whole of it. Where f stays above
// `enough` a lower bound will do.
template <class F>
double least_along(F f, double rate, double enough) {
  constexpr int kPieces = 24;
  double v[kPieces + 1];
  double best = kInfinity;
  for (int i = 0; i <= kPieces; ++i) best = std::min(best, v[i] = f(static_cast<double>(i) / kPieces));
  const double half = rate / (2 * kPieces);
  if (best - half > enough) return best - half;
  for (int i = 0; i <= kPieces; ++i) {
    if ((i > 0 && v[i] > v[i - 1]) || (i < kPieces && v[i] > v[i + 1]) || v[i] - half > best) continue;
    constexpr double kGolden = 0.6180339887498949;
    double lo = std::max(0.0, (i - 1.0) / kPieces), hi = std::min(1.0, (i + 1.0) / kPieces);
    double a = hi - kGolden * (hi - lo), b = lo + kGolden * (hi - lo), fa = f(a), fb = f(b);
    for (int k = 0; k < 34; ++k) {
      if (fa < fb) {
        hi = b;
        b = a;
        fb = fa;
        a = hi - kGolden * (hi - lo);
        fa = f(a);
      } else {
        lo = a;
        a = b;
        fa = fb;
        b = lo + kGolden * (hi - lo);
        fb = f(b);
      }
    }
    best = std::min({best, fa, fb});
  }
  return best;
}

}  // namespace

FinishedSheet::FinishedSheet(const Job& job, const Plan& plan, const MoveIndex& index, SolidOf what,
                             const std::optional<Box2>& window)
    : job_(job), plan_(plan), index_(index), thickness_(job.stock.thickness()) {
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
  if (what == SolidOf::sheet) return;

  std::set<std::pair<std::int32_t, Keep>> seen;
  for (const Operation& op : job.operations) {
    if (op.contour < 0 || (op.kind != OperationKind::edge && op.kind != OperationKind::cut_out)) continue;
    const NamedContour& named = job.contours[static_cast<std::size_t>(op.contour)];
    const bool open = !named.contour.closed();
    if (open && (named.at.size() != 1 || op.kind != OperationKind::cut_out || op.depth < thickness_))
      continue;
    if (!seen.insert({op.contour, op.keep}).second) continue;
    auto& borders = open ? open_ : op.keep == Keep::inside ? inside_ : outside_;
    for (const Vec2 at : named.at) borders.push_back({named.contour.translated(at), op.keep});
  }
  if (inside_.empty()) return;
  std::vector<Box2> boxes;
  Box2 all;
  for (const Border& b : inside_) {
    boxes.push_back(b.contour.box());
    all.add(b.contour.box());
  }
  inside_tree_ = BoxTree(std::move(boxes));
  // A hair wider, so that the wall and the border of the box are never one and the same.
  all = all.grown(1e-3);
  plan_box_ = {{std::max(plan_box_.lo.x, all.lo.x), std::max(plan_box_.lo.y, all.lo.y)},
               {std::min(plan_box_.hi.x, all.hi.x), std::min(plan_box_.hi.y, all.hi.y)}};
}

double FinishedSheet::part(Vec2 p) const {  // positive in the part
  double in = kInfinity;
  if (!inside_.empty()) {
    in = -kInfinity;
    inside_tree_.search(
        kInfinity, [&](const Box2& box) { return distance(box, p); },
        [&](std::uint32_t k) {
          in = std::max(in, part_distance(inside_[k].contour, Keep::inside, p));
          return in >= 0 ? 0 : -in;
        });
  }
  for (const Border& b : outside_) in = std::min(in, part_distance(b.contour, b.keep, p));
  for (const Border& b : open_) in = std::min(in, part_distance(b.contour, b.keep, p));
  return in;
}

double FinishedSheet::move(const Move& m, Point3 p) const {  // positive outside what the move takes
  const Vec2 q{p.x, p.y};
  const BitBody& body = bodies_[m.bit];
  const double h = (turned_over(m.set_up) ? -thickness_ - p.z : p.z) - plan_.surfaces[m.surface].delta(q);
  if (m.region >= 0)
    return body.distance({plan_.regions[static_cast<std::size_t>(m.region)].distance(q), h - m.z0});
  if (m.level()) return body.distance({m.path.distance(q), h - m.z0});
  const double run = m.path.length(), rise = m.z1 - m.z0;
  const double far = m.path.distance(q) - body.reach();
  if (far > 0 && far > 0.25 * body.reach()) return far;  // a lower bound will do
  return least_along(
      [&](double t) {
        const Vec2 at = run > 0 ? m.path.point(t * run) : m.path.a;
        return body.distance({distance(q, at), h - (m.z0 + t * rise)});
      },
      std::hypot(run, rise), 0.25 * body.reach());
}

double FinishedSheet::surface(Owner owner, Point3 p) const {
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
      return -part({p.x, p.y});
    default:
      return -move(plan_.moves[owner - kMoves], p);
  }
}

FinishedSheet::Near FinishedSheet::near(Point3 centre, double radius) const {
  Near all;
  all.state = Near::State::mixed;
  for (Owner o = 0; o < kPart; ++o) all.owners.push_back(o);
  if (!inside_.empty() || !outside_.empty() || !open_.empty()) all.owners.push_back(kPart);
  std::vector<std::uint32_t> moves;
  index_.query(Box2{{centre.x, centre.y}, {centre.x, centre.y}}.grown(radius * slack_), moves);
  for (const std::uint32_t m : moves) all.owners.push_back(m + kMoves);
  Near out;
  near(all, centre, radius, out);
  return out;
}

void FinishedSheet::near(const Near& around, Point3 centre, double radius, Near& out) const {
  out.owners.clear();
  out.state = around.state;
  if (around.state != Near::State::mixed) return;
  out.state = Near::State::full;
  for (const Owner o : around.owners) {
    const double v = surface(o, centre);
    if (v > radius * slack_) {
      out.state = Near::State::empty;
      out.owners.clear();
      return;
    }
    if (v >= -radius * slack_) out.owners.push_back(o);
  }
  if (!out.owners.empty()) out.state = Near::State::mixed;
}

double FinishedSheet::value(const Near& near, Point3 p, Owner* owner) const {
  if (near.state != Near::State::mixed) return near.state == Near::State::full ? -kInfinity : kInfinity;
  double most = -kInfinity;
  for (const Owner o : near.owners) {
    const double v = surface(o, p);
    if (v > most) {
      most = v;
      if (owner) *owner = o;
    }
  }
  return most;
}

double FinishedSheet::value(Point3 p) const {
  double most = -kInfinity;
  for (Owner o = 0; o < kPart; ++o) most = std::max(most, surface(o, p));
  if (!inside_.empty() || !outside_.empty() || !open_.empty()) most = std::max(most, surface(kPart, p));
  std::vector<std::uint32_t> moves;
  index_.query(Box2{{p.x, p.y}, {p.x, p.y}}.grown(1), moves);
  for (const std::uint32_t m : moves) most = std::max(most, surface(m + kMoves, p));
  // Moves farther away than the box asked for are at least that far.
  return std::max(most, -1.0);
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
  Point3 g{surface(owner, {p.x + kStep, p.y, p.z}) - surface(owner, {p.x - kStep, p.y, p.z}),
           surface(owner, {p.x, p.y + kStep, p.z}) - surface(owner, {p.x, p.y - kStep, p.z}),
           surface(owner, {p.x, p.y, p.z + kStep}) - surface(owner, {p.x, p.y, p.z - kStep})};
  const double n = length(g);
  return n > 0 ? (1 / n) * g : Point3{0, 0, 1};
}

}  // namespace ovolo
