#include "io/drawing/chain_builder.hpp"

#include <numbers>
#include <stdexcept>
#include <utility>

namespace ovolo::io {
namespace {

constexpr double kFarthest = 1e5;   // mm
constexpr double kShortest = 1e-6;  // mm: shorter pieces are drawing noise

/// The same piece from a to b, which differ from its own ends in the last digits.
Segment between(const Segment& s, Vec2 a, Vec2 b) {
  return s.is_arc() ? Segment::arc_between(a, b, s.centre, s.sweep > 0) : Segment::line(a, b);
}

}  // namespace

void ChainBuilder::element(const Affine& map, const Source& at, const std::string& name) {
  end();
  map_ = map;
  at_ = at;
  name_ = name;
}

Vec2 ChainBuilder::map(Vec2 p) const {
  const Vec2 q = map_(p);
  if (!std::isfinite(q.x) || !std::isfinite(q.y))
    throw std::invalid_argument("a coordinate is not a finite number");
  if (std::abs(q.x) > kFarthest || std::abs(q.y) > kFarthest)
    throw std::invalid_argument("a point lies beyond 100 m: check the units and the scale");
  return q;
}

void ChainBuilder::move_to(Vec2 p) {
  end();
  start_ = here_ = map(p);
  user_ = p;
}

void ChainBuilder::add(const Segment& s) {
  if (++count_ > kMostDrawnPieces)
    throw std::invalid_argument(
        "the drawing comes to more than 200,000 lines and arcs: choose a part of it, or simplify it");
  chain_.pieces.push_back(s);
  here_ = s.b;
}

void ChainBuilder::add(const std::vector<Segment>& fitted, Vec2 to) {
  for (std::size_t i = 0; i < fitted.size(); ++i) {
    const Vec2 b = i + 1 == fitted.size() ? to : fitted[i].b;
    add(between(fitted[i], here_, b));
  }
}

void ChainBuilder::line_to(Vec2 p) {
  const Vec2 to = map(p);
  user_ = p;
  if (distance(here_, to) < kShortest) return;  // the next piece starts at the last one's end
  add(Segment::line(here_, to));
}

void ChainBuilder::quadratic_to(Vec2 c, Vec2 p) {
  cubic_to(user_ + 2.0 / 3.0 * (c - user_), p + 2.0 / 3.0 * (c - p), p);
}

void ChainBuilder::cubic_to(Vec2 c1, Vec2 c2, Vec2 p) {
  const Vec2 to = map(p);
  add(fit_arcs(BezierCurve{{here_, map(c1), map(c2), to}, {}}, tolerance_), to);
  user_ = p;
}

void ChainBuilder::ellipse_to(const EllipseArc& arc, Vec2 p) {
  const bool whole = std::abs(arc.sweep) > 1.999 * std::numbers::pi && p == user_;
  const Vec2 to = whole ? here_ : map(p);
  user_ = p;
  const EllipseArc mapped{map(arc.centre), map_.vector(arc.u), map_.vector(arc.v), arc.from, arc.sweep};
  map(arc.centre + arc.u);
  map(arc.centre + arc.v);
  if (!whole && distance(here_, to) < kShortest && std::abs(arc.sweep) < std::numbers::pi) return;
  add(fit_arcs(mapped, tolerance_), to);
}

void ChainBuilder::bulge_to(Vec2 p, double bulge) {
  if (!std::isfinite(bulge)) throw std::invalid_argument("a bulge is not a finite number");
  const Segment s = Segment::bulge(user_, p, bulge);
  if (user_ == p || !s.is_arc()) {
    line_to(p);
    return;
  }
  ellipse_to({s.centre, {s.radius, 0}, {0, s.radius}, s.angle, s.sweep}, p);
}

void ChainBuilder::spline(const SplineCurve& curve) {
  SplineCurve mapped = curve;
  for (Vec2& p : mapped.points) p = map(p);
  end();
  const std::vector<Segment> fitted = fit_arcs(mapped, tolerance_);
  if (fitted.empty()) return;
  start_ = here_ = fitted.front().a;
  add(fitted, fitted.back().b);
  end();
}

void ChainBuilder::close() {
  if (!chain_.pieces.empty()) {
    if (distance(here_, start_) < kShortest) {
      Segment& last = chain_.pieces.back();
      if (!(last.a == start_) || last.is_arc()) last = between(last, last.a, start_);
    } else {
      add(Segment::line(here_, start_));
    }
    chain_.closed = true;
  }
  end();
  here_ = start_;
}

void ChainBuilder::end() {
  if (!chain_.pieces.empty()) {
    chain_.at = at_;
    chain_.name = name_;
    chains_.push_back(std::move(chain_));
  }
  chain_ = {};
  start_ = here_;
}

std::vector<DrawnChain> ChainBuilder::take() {
  end();
  return std::move(chains_);
}

}  // namespace ovolo::io
