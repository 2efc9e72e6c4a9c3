#include "sim/bit/body.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace ovolo {
namespace {

double widest(const std::vector<Segment>& outline) {
  double r = 0;
  for (const Segment& s : outline) r = std::max({r, s.a.x, s.b.x});
  return r;
}

// The part of a piece below (or above) h; false when there is none.
bool cut_at(const Segment& s, double h, bool below, Segment& out) {
  const auto keeps = [&](double y) { return below ? y <= h : y >= h; };
  if (keeps(s.a.y) && keeps(s.b.y)) {
    out = s;
    return s.a != s.b;
  }
  if (!keeps(s.a.y) && !keeps(s.b.y)) return false;
  double along = (h - s.a.y) / (s.b.y - s.a.y) * s.length();
  if (s.is_arc()) {
    double lo = 0, hi = s.length();
    for (int i = 0; i < 80; ++i) {
      along = (lo + hi) / 2;
      (s.point(along).y < h ? lo : hi) = along;
    }
  }
  if (along <= 1e-12 || along >= s.length() - 1e-12) return false;
  out = below ? s.part(0, along) : s.part(along, s.length());
  (below ? out.b : out.a).y = h;
  return true;
}

}  // namespace

BitBody::BitBody(const Bit& bit) {
  for (const Segment& piece : bit.profile.chain())
    for (const Segment& part : monotone_parts(piece)) outline_.push_back(part);
  if (bit.cutting_length && bit.shank_diameter) {
    const Vec2 end = outline_.back().b, shank{*bit.shank_diameter / 2, end.y};
    if (end != shank) outline_.push_back(Segment::line(end, shank));
  }
  reach_ = widest(outline_);
  widens_ = std::all_of(outline_.begin(), outline_.end(), [](const Segment& s) { return s.b.x >= s.a.x; });
  cutting_height_ = std::numeric_limits<double>::infinity();
  if (bit.neck_from) cutting_height_ = *bit.neck_from;
  if (bit.cutting_length) cutting_height_ = std::min(cutting_height_, *bit.cutting_length);
}

BitBody BitBody::cutting_part() const {
  BitBody out;
  out.cutting_height_ = std::numeric_limits<double>::infinity();
  Segment part;
  for (const Segment& s : outline_)
    if (s.a.y < cutting_height_ && cut_at(s, cutting_height_, true, part)) out.outline_.push_back(part);
  const double end = out.outline_.back().b.y;
  if (end < cutting_height_)
    out.outline_.push_back(Segment::line({top_radius(), end}, {top_radius(), cutting_height_}));
  out.outline_.push_back(Segment::line(out.outline_.back().b, {0, cutting_height_}));
  out.reach_ = widest(out.outline_);
  return out;
}

BitBody BitBody::idle_part() const {
  BitBody out;
  out.cutting_height_ = cutting_height_;
  Segment part;
  for (const Segment& s : outline_)
    if (s.b.y >= cutting_height_ && cut_at(s, cutting_height_, false, part)) {
      if (part.a.y == part.b.y && part.a.y == cutting_height_ && out.outline_.empty()) continue;
      out.outline_.push_back(part);
    }
  const Vec2 first = out.outline_.empty() ? Vec2{top_radius(), cutting_height_} : out.outline_.front().a;
  out.outline_.insert(out.outline_.begin(), Segment::line({0, cutting_height_}, {first.x, cutting_height_}));
  out.reach_ = widest(out.outline_);
  return out;
}

double BitBody::width(double h) const {
  if (h < 0) return 0;
  if (h > top()) return top_radius();
  double widest = 0;
  for (const Segment& s : outline_) {
    if (h < s.a.y || h > s.b.y) continue;
    if (s.a.y == s.b.y) {
      widest = std::max({widest, s.a.x, s.b.x});
    } else if (!s.is_arc()) {
      widest = std::max(widest, s.a.x + (h - s.a.y) / (s.b.y - s.a.y) * (s.b.x - s.a.x));
    } else {
      const double d = h - s.centre.y;
      const double run = std::sqrt(std::max(0.0, s.radius * s.radius - d * d));
      const bool left = s.a.x + s.b.x < 2 * s.centre.x;
      widest = std::max(widest, s.centre.x + (left ? -run : run));
    }
  }
  return widest;
}

double BitBody::distance(Vec2 rh) const {
  const Vec2 p{std::abs(rh.x), rh.y};
  double nearest = std::numeric_limits<double>::infinity();
  for (const Segment& s : outline_) nearest = std::min(nearest, s.distance(p));
  const Vec2 top_end{top_radius(), top()};
  nearest = std::min(nearest, p.y >= top_end.y ? std::abs(p.x - top_end.x) : ovolo::distance(p, top_end));
  return p.y >= 0 && p.x <= width(p.y) ? -nearest : nearest;
}

}  // namespace ovolo
