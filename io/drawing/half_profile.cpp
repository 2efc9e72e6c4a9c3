#include "io/drawing/half_profile.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "sim/geometry/fit_arcs.hpp"

namespace ovolo::io {
namespace {

constexpr double kOn = 1e-6;  // mm: nearer to the axis is on it

class HalfProfile {
 public:
  HalfProfile(const DrawnContour& drawn, const DrawingChoice& choice, std::optional<double> axis)
      : drawn_(drawn),
        contour_(drawn.contour),
        box_(contour_.box()),
        join_(std::max(choice.join, 10 * kOn)),
        axis_(axis) {
    out_.notes = drawn.notes;
  }

  DrawnProfile run() {
    if (!(box_.hi.x - box_.lo.x > kOn) || !(box_.hi.y - box_.lo.y > kOn))
      fail("the profile has no width or no height");
    place_axis();
    std::vector<Segment> chain = half();
    // The end of the cutting length: a level line back to the axis is the drawing's, not the bit's.
    const double top = box_.hi.y - box_.lo.y;
    while (chain.size() > 1 && !chain.back().is_arc() && std::abs(chain.back().a.y - top) < kOn &&
           std::abs(chain.back().b.y - top) < kOn && chain.back().b.x < chain.back().a.x)
      chain.pop_back();
    if (chain.empty()) fail("nothing of the profile lies off the axis");
    if (chain.front().a.x > kOn)
      fail(
          fmt::format("the profile begins at r = {:.4g} mm, off its axis at x = {}: a gap at ({}); draw the "
                      "tip as far as the axis, "
                      "or say axis",
                      chain.front().a.x, axis_text(), place(back(chain.front().a))));
    merge_pieces(chain, kOn);
    remark(chain);
    try {
      out_.profile = Profile(std::move(chain));
    } catch (const std::invalid_argument& e) {
      fail(e.what());
    }
    return std::move(out_);
  }

 private:
  [[noreturn]] void fail(const std::string& what) const { throw DrawingError(drawn_.at, what); }
  std::string axis_text() const { return fmt::format("{:.6g}", *axis_); }
  /// From (r, h) to the drawing, for messages.
  Vec2 back(Vec2 p) const { return {*axis_ + (turned_ ? -p.x : p.x), p.y + box_.lo.y}; }

  /// How far the drawing's mirror image about x lies from it; `where` is the place.
  double unlike_mirror(double x, Vec2& where) const {
    double worst = 0;
    const double l = contour_.length();
    std::vector<double> stations;
    for (std::size_t i = 0; i < contour_.segments().size(); ++i)
      for (const double f : {0.0, 0.25, 0.5, 0.75})
        stations.push_back(contour_.start_of(i) + f * contour_.segments()[i].length());
    stations.push_back(l);
    for (const double s : stations) {
      const Vec2 p = contour_.point(s);
      const double d = contour_.nearest({2 * x - p.x, p.y}).distance;
      if (d > worst) {
        worst = d;
        where = p;
      }
    }
    return worst;
  }

  /// Does a straight upright line cover the whole height at this x?
  bool upright_side(double x) const {
    double covered = 0;
    for (const Segment& s : contour_.segments())
      if (!s.is_arc() && std::abs(s.a.x - x) < kOn && std::abs(s.b.x - x) < kOn) covered += s.length();
    return covered > (box_.hi.y - box_.lo.y) - 10 * kOn;
  }

  void place_axis() {
    Vec2 where;
    if (axis_) {
      const bool right = box_.hi.x > *axis_ + join_, left = box_.lo.x < *axis_ - join_;
      whole_ = right && left;
      if (whole_) {
        const double off = unlike_mirror(*axis_, where);
        if (off > join_)
          fail(
              fmt::format("the profile lies on both sides of the axis x = {}, and its halves differ by "
                          "{:.4g} mm at ({}): move the "
                          "axis, or draw one half",
                          axis_text(), off, place(where)));
      }
      turned_ = !whole_ && left;
      note(whole_    ? "whole silhouette, its right half taken"
           : turned_ ? "half profile to the left of its axis, mirrored"
                     : "half profile",
           "as told");
      return;
    }
    const double middle = (box_.lo.x + box_.hi.x) / 2;
    const double off = unlike_mirror(middle, where);
    if (off <= join_) {
      if (contour_.closed() && upright_side(box_.lo.x))
        fail(
            fmt::format("this may be a whole silhouette (axis at x = {:.6g}) or a half profile (axis at x = "
                        "{:.6g}): say which with axis",
                        middle, box_.lo.x));
      axis_ = middle;
      whole_ = true;
      note("whole silhouette, its right half taken",
           fmt::format("in the middle; the halves differ by {:.4f} mm at most", off));
      return;
    }
    if (contour_.closed()) {
      const bool left = upright_side(box_.lo.x), right = upright_side(box_.hi.x);
      if (left == right)
        fail(
            fmt::format("where the bit's axis lies cannot be told: the drawing is neither symmetrical (its "
                        "halves about x = {:.6g} differ "
                        "by {:.4g} mm at ({})) nor closed along one upright side; say axis",
                        middle, off, place(where)));
      axis_ = left ? box_.lo.x : box_.hi.x;
      turned_ = right;
      note(turned_ ? "half profile to the left of its axis, mirrored" : "half profile",
           "along the upright side");
      return;
    }
    const Vec2 a = contour_.segments().front().a, b = contour_.segments().back().b;
    const Vec2 tip = a.y <= b.y ? a : b;
    const bool left = std::abs(tip.x - box_.lo.x) < kOn, right = std::abs(tip.x - box_.hi.x) < kOn;
    if (left == right)
      fail(
          fmt::format("the profile's lower end ({}) is not its outermost point, so where the axis lies "
                      "cannot be told; say axis",
                      place(tip)));
    axis_ = tip.x;
    turned_ = right;
    note(turned_ ? "half profile to the left of its axis, mirrored" : "half profile",
         "through its lower end");
  }

  void note(const std::string& kind, const std::string& why) {
    out_.notes.push_back(
        fmt::format("{}; axis at x = {} ({}), tip at y = {:.6g}", kind, axis_text(), why, box_.lo.y));
  }

  /// A piece in (r, h).
  Segment placed(const Segment& s) const {
    const auto map = [&](Vec2 p) {
      double r = turned_ ? *axis_ - p.x : p.x - *axis_;
      if (std::abs(r) < kOn) r = 0;
      double h = p.y - box_.lo.y;
      if (std::abs(h) < kOn) h = 0;
      return Vec2{r, h};
    };
    if (!s.is_arc()) return Segment::line(map(s.a), map(s.b));
    const Vec2 centre{turned_ ? *axis_ - s.centre.x : s.centre.x - *axis_, s.centre.y - box_.lo.y};
    return Segment::arc_between(map(s.a), map(s.b), centre, (s.sweep > 0) != turned_);
  }

  /// The pieces from the tip on the axis upwards.
  std::vector<Segment> half() const {
    // Cut where the axis is crossed, and keep the side of the bit that is wanted.
    const Segment axis = Segment::line({0, -1}, {0, box_.hi.y - box_.lo.y + 1});
    std::vector<Segment> kept;
    for (const Segment& s : contour_.segments()) {
      const Segment p = placed(s);
      std::vector<double> cuts{0, p.length()};
      for (const Crossing& c : crossings(p, axis)) cuts.push_back(c.s);
      std::sort(cuts.begin(), cuts.end());
      for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
        if (cuts[i + 1] - cuts[i] < kOn) continue;
        const Vec2 m = p.point((cuts[i] + cuts[i + 1]) / 2);
        if (m.x < kOn) continue;  // on the axis, or beyond it
        Segment part = p.part(cuts[i], cuts[i + 1]);
        for (Vec2* end : {&part.a, &part.b})
          if (std::abs(end->x) < kOn) end->x = 0;
        kept.push_back(part);
      }
    }
    if (kept.empty()) return kept;
    // Put the one gap (along the axis, or the open ends) between the last piece and the first.
    std::size_t first = 0;
    int gaps = 0;
    for (std::size_t i = 0; i < kept.size(); ++i)
      if (distance(kept[(i + kept.size() - 1) % kept.size()].b, kept[i].a) > kOn) {
        first = i;
        ++gaps;
      }
    if (gaps > 1) {
      std::string places;
      for (std::size_t i = 0; i < kept.size(); ++i)
        if (distance(kept[(i + kept.size() - 1) % kept.size()].b, kept[i].a) > kOn)
          places += fmt::format(" ({})", place(back(kept[i].a)));
      fail("the profile touches its axis in more than one place between tip and top:" + places);
    }
    std::rotate(kept.begin(), kept.begin() + static_cast<std::ptrdiff_t>(first), kept.end());
    if (kept.front().a.y > kept.back().b.y) {
      std::reverse(kept.begin(), kept.end());
      for (Segment& s : kept) s = s.reversed();
    }
    return kept;
  }

  void remark(const std::vector<Segment>& chain) {
    const auto stretch = [&](const Segment& s) {
      return fmt::format("from r = {:.4g}, h = {:.4g} to r = {:.4g}, h = {:.4g}", s.a.x, s.a.y, s.b.x, s.b.y);
    };
    int told = 0;
    for (const Segment& s : chain) {
      const Box2 box = s.box();
      const bool narrower = box.hi.x > s.b.x + kOn, falls = box.lo.y < s.a.y - kOn || box.hi.y > s.b.y + kOn;
      if (!narrower && !falls) continue;
      if (++told > 4) break;
      if (narrower)
        out_.notes.push_back("r falls on the way up " + stretch(s) +
                             ": undercut, or the shank, which is not part of the profile");
      if (falls)
        out_.notes.push_back("h does not rise throughout " + stretch(s) +
                             ": hollow there, and right for passing cuts only");
    }
  }

  const DrawnContour& drawn_;
  const Contour& contour_;
  Box2 box_;
  double join_;
  std::optional<double> axis_;
  bool whole_ = false, turned_ = false;
  DrawnProfile out_;
};

}  // namespace

DrawnProfile half_profile(const DrawnContour& drawn, const DrawingChoice& choice,
                          std::optional<double> axis) {
  return HalfProfile(drawn, choice, axis).run();
}

DrawnProfile read_half_profile(const std::string& path, const DrawingChoice& choice,
                               std::optional<double> axis) {
  DrawingChoice open = choice;
  open.open = true;
  return half_profile(read_contour(path, open), open, axis);
}

}  // namespace ovolo::io
