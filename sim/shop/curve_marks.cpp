#include "sim/shop/curve_marks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/error.hpp"
#include "sim/text.hpp"

namespace ovolo {
namespace {

const double kParabolaRa = 4 / (9 * std::sqrt(3.0));

struct Value {
  double rt = 0, ra = 0;
  bool open = false;
};

Value value_of(const MarkPoint& p) {
  if (p.place.upright == 0) return {};
  // Crests that do not overlap reach the bit's axis at least; Ra as for parabolic marks.
  if (!p.marks)
    return {p.place.radius * p.place.upright, kParabolaRa * p.place.radius * p.place.upright, true};
  return {p.marks->rt, p.marks->ra, false};
}

Value between(const MarkPoint& a, const MarkPoint& b, double s) {
  const Value va = value_of(a), vb = value_of(b);
  const double span = b.place.s - a.place.s;
  const double t = span > 0 ? (s - a.place.s) / span : 0;
  return {va.rt + t * (vb.rt - va.rt), va.ra + t * (vb.ra - va.ra), va.open || vb.open};
}

Vec2 at_between(const MarkPoint& a, const MarkPoint& b, double s) {
  const double span = b.place.s - a.place.s;
  return a.place.at + (span > 0 ? (s - a.place.s) / span : 0) * (b.place.at - a.place.at);
}

/// Arc length beyond s0 at which a rising curve comes to the height h.
double arc_length_at(const Segment& curve, double s0, double h) {
  double lo = s0, hi = curve.length();
  for (int i = 0; i < 100 && hi - lo > 1e-13; ++i) {
    const double mid = (lo + hi) / 2;
    (curve.point(mid).y < h ? lo : hi) = mid;
  }
  return (lo + hi) / 2;
}

MarkBand band_of(const std::vector<MarkPoint>& points, double s0, double s1) {
  MarkBand band;
  band.s0 = s0;
  band.s1 = s1;
  bool started = false;
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    const MarkPoint &a = points[i], &b = points[i + 1];
    const double lo = std::max(s0, a.place.s), hi = std::min(s1, b.place.s);
    if (hi < lo || (hi == lo && s1 > s0)) continue;
    const Value va = between(a, b, lo), vb = between(a, b, hi);
    if (!started) band.from = at_between(a, b, lo);
    band.to = at_between(a, b, hi);
    started = true;
    band.rt = std::max({band.rt, va.rt, vb.rt});
    band.open = band.open || va.open || vb.open;
    const double share = s1 > s0 ? (hi - lo) / (s1 - s0) : 1;
    band.ra += share * (va.ra + vb.ra) / 2;
    band.rz += share * (va.rt + vb.rt) / 2;
  }
  return band;
}

}  // namespace

CurveMarks curve_marks(const std::vector<MarkPlace>& places, const std::vector<MarkSettings>& cuts,
                       int bands) {
  if (bands < 1 || bands > 100) throw JobError(fmt::format("{} bands of marks: give from 1 to 100", bands));
  CurveMarks all;
  all.cuts = cuts;
  for (const MarkPlace& place : places) {
    MarkPoint point{place, std::nullopt};
    // On the axis itself nothing turns: the marks cannot overlap there.
    if (place.radius > 0) point.marks = feed_marks(place.radius, cuts.at(place.cut));
    if (point.marks) {
      point.marks->rt *= place.upright;
      point.marks->ra *= place.upright;
      point.marks->rq *= place.upright;
      if (place.upright > 0) {
        const double count = marks_per_inch(*point.marks);
        all.marks_per_inch = all.marks_per_inch > 0 ? std::min(all.marks_per_inch, count) : count;
      }
    }
    const Value v = value_of(point);
    all.open = all.open || v.open;
    if (v.rt > all.tallest) {
      all.tallest = v.rt;
      all.tallest_at = place.at;
      all.tallest_point = all.points.size();
    }
    all.points.push_back(point);
  }
  if (all.points.empty()) return all;
  for (std::size_t i = 0; i + 1 < all.points.size(); ++i) {
    const MarkPoint &a = all.points[i], &b = all.points[i + 1];
    all.mean_crest += (value_of(a).rt + value_of(b).rt) / 2 * (b.place.s - a.place.s);
  }
  if (all.length() > 0) all.mean_crest /= all.length();
  for (int i = 0; i < bands; ++i)
    all.bands.push_back(band_of(all.points, all.length() * i / bands, all.length() * (i + 1) / bands));
  all.bands.front().nearest_tip = true;
  return all;
}

std::vector<MarkPlace> places_of_pass(const Profile& profile, double offset, double depth, double step) {
  if (!(offset >= 0)) throw JobError("feed marks along a pass need an offset of 0 or more");
  if (!(depth > 0 && std::isfinite(depth) && step > 0))
    throw JobError("feed marks along a pass need a depth above 0 and a step above 0");
  std::vector<MarkPlace> places;
  const auto add = [&](double r, double h, double upright) {
    const Vec2 at{r - offset, h - depth};
    const double s = places.empty() ? 0 : places.back().s + distance(at, places.back().at);
    places.push_back({s, at, r, upright, 0});
  };
  Vec2 top{};  // where the surface has reached, (r, h)
  for (const Profile::Piece& piece : profile.pieces()) {
    if (piece.r1 < offset) continue;
    const double r0 = std::max(piece.r0, offset);
    const double h0 = r0 > piece.r0 ? piece.height(r0) : piece.h0;
    if (h0 >= depth) break;
    if (!places.empty() && h0 > top.y) {  // an upright wall between two pieces
      add(r0, top.y, 1);
      add(r0, h0, 1);
    }
    const double s0 = r0 > piece.r0 ? piece.curve.nearest({r0, h0}) : 0;
    const double s1 = piece.h1 > depth ? arc_length_at(piece.curve, s0, depth) : piece.curve.length();
    const int n = std::max(1, static_cast<int>(std::ceil((s1 - s0) / step)));
    for (int i = 0; i <= n; ++i) {
      const double s = s0 + (s1 - s0) * i / n;
      const Vec2 p = piece.curve.point(s);
      const double upright = std::fabs(piece.curve.tangent(s).y);
      add(p.x, p.y, upright < 1e-9 ? 0 : upright);
    }
    top = {piece.r1, std::min(piece.h1, depth)};
  }
  if (places.empty())
    throw JobError(
        fmt::format("at {} the bit cuts nothing {} off its axis", fine_units(depth), fine_units(offset)));
  if (top.y < depth) {  // an upright wall up to the face: a lip
    add(top.x, top.y, 1);
    add(top.x, depth, 1);
  }
  return places;
}

}  // namespace ovolo
