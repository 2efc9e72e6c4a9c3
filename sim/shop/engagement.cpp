#include "sim/shop/engagement.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/shop/radius_at.hpp"

namespace ovolo {
namespace {

/// A thin strip across the path and the heights above the tip between which it is cut.
struct Column {
  double v, from, to;
};

/// Heights above the tip between which a bit is at least r wide: from its height on, or of an undercut bit
/// the stretches of its chain.
class Widths {
 public:
  explicit Widths(const Profile& profile) : profile_(profile) {
    if (!profile.undercut()) return;
    for (const Segment& s : profile.chain())
      for (const Segment& part : monotone_parts(s)) parts_.push_back(part);
  }
  template <class F>
  void each(double r, F f) const {
    constexpr double kOpen = std::numeric_limits<double>::infinity();
    if (parts_.empty()) return f(profile_.height(r), kOpen);
    double from = 0;
    bool open = false;
    for (const Segment& s : parts_) {
      if (!(r > std::min(s.a.x, s.b.x) && r < std::max(s.a.x, s.b.x)) || (s.b.x > s.a.x) == open) continue;
      open = !open;
      if (open)
        from = height_of(s, r);
      else
        f(from, height_of(s, r));
    }
    if (open) f(from, kOpen);
  }
  /// Its radius at a height; of one that only widens found in steps of `width`.
  double radius(double height, double width, int columns) const {
    if (parts_.empty()) {
      int wide = 0;
      for (int lo = 0, hi = columns; lo < hi;) {
        const int mid = (lo + hi) / 2;
        if (profile_.height((mid + 0.5) * width) <= height)
          wide = lo = mid + 1;
        else
          hi = mid;
      }
      return wide * width;
    }
    double widest = 0;
    for (const Segment& s : parts_) {
      if (height < s.a.y || height > s.b.y) continue;
      if (s.b.y - s.a.y < 1e-12) {
        widest = std::max({widest, s.a.x, s.b.x});
        continue;
      }
      const double d = height - s.centre.y;
      const double run = std::sqrt(std::max(0.0, s.radius * s.radius - d * d));
      widest = std::max(widest, !s.is_arc() ? s.a.x + (height - s.a.y) / (s.b.y - s.a.y) * (s.b.x - s.a.x)
                                : s.a.x + s.b.x < 2 * s.centre.x ? s.centre.x - run
                                                                 : s.centre.x + run);
    }
    return widest;
  }

 private:
  static double height_of(const Segment& s, double r) {
    if (!s.is_arc()) return s.a.y + (s.b.y - s.a.y) * ((r - s.a.x) / (s.b.x - s.a.x));
    const double d = r - s.centre.x;
    const double run = std::sqrt(std::max(0.0, s.radius * s.radius - d * d));
    return s.centre.y + (s.a.y + s.b.y < 2 * s.centre.y ? -run : run);
  }
  const Profile& profile_;
  std::vector<Segment> parts_;
};

/// What stands before the front of a bit that only widens, v mm to the left of its axis.
class Front {
 public:
  Front(const Profile& profile, const SurfaceAhead& before, double tip_z, double v)
      : profile_(profile), before_(before), tip_z_(tip_z), v_(v) {
    const double reach = profile.cutting_radius();
    farthest_ = std::sqrt(std::max(0.0, reach * reach - v * v));
    half_ = surface(farthest_ / 2);
    whole_ = surface(farthest_);
  }
  /// Does the material stand as high all the way ahead?
  bool same_as(double surface) const {
    const auto same = [surface](double other) {
      return other == surface || std::fabs(other - surface) < kSame;
    };
    return same(half_) && same(whole_);
  }
  /// The heights above the tip, from `from` on, at which material touches the bit's front.
  template <class F>
  void each(double from, F take) const {
    const double top = std::max({surface(0), half_, whole_});
    if (!(top > from)) return;
    const double step = (top - from) / kSteps;
    int met = 0;  // steps below this one that touch without a gap
    for (int k = 0; k <= kSteps; ++k) {
      if (k < kSteps && touches(from + (k + 0.5) * step)) {
        ++met;
        continue;
      }
      if (met > 0) take(from + (k - met) * step, from + k * step);
      met = 0;
    }
  }

 private:
  static constexpr int kSteps = 16;
  static constexpr double kSame = 1e-6;    // mm
  static constexpr double kBefore = 1e-4;  // of the reach: a place just before the edge, not on it

  double surface(double ahead) const { return before_(v_, ahead) - tip_z_; }
  bool touches(double height) const {
    const double r = radius_at(profile_, height) + kBefore * profile_.cutting_radius();
    return surface(std::sqrt(std::max(0.0, r * r - v_ * v_))) > height;
  }

  const Profile& profile_;
  const SurfaceAhead& before_;
  double tip_z_, v_, farthest_ = 0, half_ = 0, whole_ = 0;
};

}  // namespace

Engagement engagement(const Profile& profile, double tip_z, const SurfaceAhead& before,
                      const EngagementOptions& options) {
  Engagement e;
  const double c = profile.cutting_radius();
  const double width = c / options.columns;
  const Widths widths(profile);
  std::vector<Column> columns;
  double lowest = std::numeric_limits<double>::infinity(), highest = 0;
  e.inner = c;
  for (int i = 0; i < options.columns; ++i) {
    const double r = (i + 0.5) * width;
    for (const double v : {-r, r}) {
      const double surface = before(v, 0) - tip_z;
      bool met = false;
      const auto take = [&](double from, double to) {
        if (!(to > from)) return;
        met = true;
        columns.push_back({v, from, to});
        e.area += (to - from) * width;
        lowest = std::min(lowest, from);
        highest = std::max(highest, to);
      };
      if (profile.undercut()) {
        widths.each(r, [&](double low, double high) {
          take(std::max(low, options.bottom - tip_z), std::min(high, surface));
        });
      } else {
        const Front front(profile, before, tip_z, v);
        const double from = std::max(profile.height(r), options.bottom - tip_z);
        if (front.same_as(surface))
          take(from, surface);
        else
          front.each(from, take);
      }
      if (!met) continue;
      e.width += width;
      e.inner = std::min(e.inner, r - width / 2);
      e.outer = std::max(e.outer, r + width / 2);
    }
  }
  if (columns.empty()) {
    e.inner = 0;
    return e;
  }
  e.depth = highest - lowest;
  // Largest radius at or below each height: columns ascend in r, so their profile heights do too.
  for (int k = 0; k < options.slices; ++k) {
    ContactSlice s;
    s.height = highest * (k + 0.5) / options.slices;
    double nearest = std::numeric_limits<double>::infinity();
    for (const Column& column : columns) {
      if (column.from > s.height || column.to <= s.height) continue;
      s.width += width;
      nearest = std::min(nearest, std::fabs(column.v) - width / 2);
    }
    s.radius = widths.radius(s.height, width, options.columns);
    if (s.radius > 0 && s.width > 0) {
      const double ratio = std::clamp(nearest / s.radius, 0.0, 1.0);
      s.chip = std::sqrt(1 - ratio * ratio);
    }
    e.slices.push_back(s);
  }
  return e;
}

}  // namespace ovolo
