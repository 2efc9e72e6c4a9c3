#include "sim/advise/wish_window.hpp"

#include <algorithm>
#include <cmath>

#include "sim/measure/edge.hpp"
#include "sim/measure/verdict.hpp"

namespace ovolo {
namespace {

constexpr double kTouch = 1e-9;     // mm: spans this near each other touch
constexpr double kShortest = 1e-5;  // mm: of a span of one wish
constexpr double kNothing = 1e-7;   // mm: a span no longer than this is none
constexpr double kNone = 1e9;       // mm: where the tip stands inside the part the band has no end
constexpr double kGraze = 2e-3;     // mm: a bit that reaches the part by less does not count as cutting

// Stretches of [lo, hi] where `margin` is not negative. It is monotone between neighbouring breaks and may
// jump at them.
template <class F>
std::vector<Span> spans_where(F margin, double lo, double hi, std::vector<double> breaks, Wish wish) {
  const auto good = [&](double x) { return margin(x) >= -1e-9; };
  breaks.push_back(lo);
  breaks.push_back(hi);
  std::sort(breaks.begin(), breaks.end());
  std::vector<Span> out;
  const auto add = [&](double a, double b) {
    if (!out.empty() && a - out.back().hi <= kTouch)
      out.back().hi = b;
    else
      out.push_back({a, b, wish, wish});
  };
  double from = lo;
  for (const double at : breaks) {
    const double to = std::clamp(at, lo, hi);
    if (to - from <= kTouch) continue;
    const double inset = std::min(1e-7, (to - from) / 4);
    const bool first = good(from + inset), last = good(to - inset);
    if (first && last) {
      add(from, to);
    } else if (first != last) {
      double a = from + inset, b = to - inset;
      for (int i = 0; i < 60 && b - a > 1e-12; ++i) {
        const double m = (a + b) / 2;
        (good(m) == first ? a : b) = m;
      }
      const double root = (a + b) / 2;
      first ? add(from, root) : add(root, to);
    }
    from = to;
  }
  // What is left within a micrometre of a break is the measures' own rounding at it.
  std::erase_if(out, [](const Span& s) { return s.hi - s.lo < kShortest; });
  return out;
}

// The depths set that stay within the spans wherever the face stands.
std::vector<Span> everywhere(std::vector<Span> spans, UnevenFace face) {
  for (Span& s : spans) {
    s.lo += face.down;
    s.hi -= face.up;
  }
  std::erase_if(spans, [](const Span& s) { return s.hi - s.lo < kShortest; });
  return spans;
}

}  // namespace

const char* name_of(Wish wish) {
  switch (wish) {
    case Wish::lip:
      return "lip";
    case Wish::face_break:
      return "face break";
    case Wish::band:
      return "flat band";
    case Wish::wall_break:
      return "wall break";
    case Wish::hidden:
      return "hidden layer";
    case Wish::foot:
      return "no foot";
    case Wish::cut:
      return "no cut";
    case Wish::limit:
      break;
  }
  return "limit";
}

std::vector<Span> intersect(const std::vector<Span>& a, const std::vector<Span>& b) {
  std::vector<Span> out;
  for (const Span& s : a)
    for (const Span& t : b) {
      Span both;
      both.lo = std::max(s.lo, t.lo);
      both.below = s.lo >= t.lo ? s.below : t.below;
      both.hi = std::min(s.hi, t.hi);
      both.above = s.hi <= t.hi ? s.above : t.above;
      if (both.hi - both.lo > kNothing) out.push_back(both);
    }
  std::sort(out.begin(), out.end(), [](const Span& s, const Span& t) { return s.lo < t.lo; });
  return out;
}

WishWindow::WishWindow(const Profile& profile, const WantedForm& wanted, const Stock& stock,
                       const Wishes& wishes, double deepest, UnevenFace face_stands)
    : profile_(&profile), uneven_(face_stands), deepest_(deepest) {
  double top = 0;
  for (const Layer& layer : stock.layers) {
    if (std::find(wishes.hidden.begin(), wishes.hidden.end(), layer.name) != wishes.hidden.end()) {
      hidden_top_ = top - uneven_.up;
      break;
    }
    top += layer.thickness;
  }

  SectionContext context;
  context.stock = &stock;
  context.wanted = &wanted;
  context.wishes = &wishes;
  const double reach = profile.cutting_radius() - kGraze;
  shallowest_ = std::max(kGraze, profile.height(kGraze));
  const auto measures = [&](double depth, double offset) {
    return measure_section(
        SectionMaker::straight(profile, depth, offset, profile.cutting_radius() + std::abs(offset) + 1),
        context);
  };

  // What depends on the depth, with the axis on the wall.
  std::vector<double> heights{wanted.depth};
  for (const Profile::Piece& p : profile.pieces()) {
    heights.push_back(p.h0);
    heights.push_back(p.h1);
  }
  const double own_face = own_face_break(wanted), own_wall = own_wall_break(wanted);
  const auto lip = [&](double d) { return wishes.lip - measures(d, 0).lip.value_or(0); };
  const auto face = [&](double d) {
    return wishes.face_break + own_face - measures(d, 0).face_break.value_or(0);
  };
  lip_ = spans_where(lip, shallowest_, deepest, heights, Wish::lip);
  face_ = spans_where(face, shallowest_, deepest, heights, Wish::face_break);
  lip_ = everywhere(lip_, uneven_);
  face_ = everywhere(face_, uneven_);

  // What depends on the offset, deep enough that the bit reaches the part wherever it can.
  std::vector<double> radii{0};
  for (const Profile::Piece& p : profile.pieces())
    for (const double r : {p.r0, p.r1}) {
      radii.push_back(r);
      radii.push_back(-r);
    }
  const double deep = profile.form_height() + wanted.depth + 1;
  const auto band = [&](double o) { return wishes.band - measures(deep, o).band.value_or(kNone); };
  const auto wall = [&](double o) {
    return wishes.wall_break + own_wall - measures(deep, o).wall_break.value_or(0);
  };
  band_ = spans_where(band, -reach, reach, radii, Wish::band);
  wall_ = spans_where(wall, -reach, reach, radii, Wish::wall_break);
  foot_ = spans_where([&](double o) { return measures(deep, o).foot_depth ? 1.0 : -1.0; }, -reach, reach,
                      radii, Wish::foot);
}

std::vector<Span> WishWindow::depths(WishSet set) const {
  std::vector<Span> out{{shallowest_, deepest_, set.has(Wish::cut) ? Wish::cut : Wish::limit, Wish::limit}};
  if (set.has(Wish::lip)) out = intersect(out, lip_);
  if (set.has(Wish::face_break)) out = intersect(out, face_);
  return out;
}

std::vector<Span> WishWindow::offsets(WishSet set) const {
  const double reach = profile_->cutting_radius() - kGraze;
  std::vector<Span> out{{-reach, reach, Wish::limit, set.has(Wish::cut) ? Wish::cut : Wish::limit}};
  if (set.has(Wish::foot)) out = intersect(out, foot_);
  if (set.has(Wish::band)) out = intersect(out, band_);
  if (set.has(Wish::wall_break)) out = intersect(out, wall_);
  return out;
}

double WishWindow::height_at(double offset) const {
  // Further in than the flat the bit's tip stands inside the part: the surface is as deep as the tip.
  return offset < 0 ? 0 : profile_->height(offset);
}

double WishWindow::hidden_depth(double offset) const { return hidden_top_ + height_at(offset); }

double WishWindow::cut_depth(double offset) const { return height_at(offset) + uneven_.down; }

bool WishWindow::holds(double depth, double offset, WishSet set) const {
  const auto within = [](const std::vector<Span>& spans, double x) {
    return std::any_of(spans.begin(), spans.end(), [x](const Span& s) { return x >= s.lo && x <= s.hi; });
  };
  return within(depths(set), depth) && within(offsets(set), offset) &&
         (!set.has(Wish::hidden) || depth <= hidden_depth(offset)) &&
         (!set.has(Wish::cut) || depth > cut_depth(offset));
}

bool WishWindow::feasible(WishSet set) const {
  const auto ds = depths(set);
  const bool hidden = set.has(Wish::hidden) && std::isfinite(hidden_top_);
  for (const Span& o : offsets(set))
    for (const Span& d : ds) {
      // height() never falls outwards: the deepest depth that hides is largest at the outer end, and the
      // least one that cuts smallest at the inner end. Together they leave hidden_top of room at any one
      // offset.
      if (hidden && d.lo > hidden_depth(o.hi)) continue;
      if (set.has(Wish::cut) && d.hi <= cut_depth(o.lo)) continue;
      if (hidden && set.has(Wish::cut) && hidden_top_ <= 0) continue;
      return true;
    }
  return false;
}

namespace {

// The end of the span that holds x, and how far it is.
WishWindow::Room to_end(const std::vector<Span>& spans, double x, bool up) {
  for (const Span& s : spans)
    if (x >= s.lo - kTouch && x <= s.hi + kTouch)
      return up ? WishWindow::Room{std::max(0.0, s.hi - x), s.above}
                : WishWindow::Room{std::max(0.0, x - s.lo), s.below};
  return {0, Wish::limit};
}

}  // namespace

WishWindow::Room WishWindow::deeper(double depth, double offset) const {
  Room room = to_end(depths(), depth, true);
  const double hidden = hidden_depth(offset) - depth;
  if (hidden < room.distance) room = {std::max(0.0, hidden), Wish::hidden};
  return room;
}

WishWindow::Room WishWindow::shallower(double depth, double offset) const {
  Room room = to_end(depths(), depth, false);
  const double cut = depth - cut_depth(offset);
  if (cut < room.distance) room = {std::max(0.0, cut), Wish::cut};
  return room;
}

WishWindow::Room WishWindow::outward(double depth, double offset) const {
  Room room = to_end(offsets(), offset, true);
  if (cut_depth(offset + room.distance) < depth) return room;
  double a = 0, b = room.distance;  // the bit leaves the part on the way
  for (int i = 0; i < 100 && b - a > 1e-12; ++i) {
    const double m = (a + b) / 2;
    (cut_depth(offset + m) < depth ? a : b) = m;
  }
  return {b, Wish::cut};
}

WishWindow::Room WishWindow::inward(double depth, double offset) const {
  Room room = to_end(offsets(), offset, false);
  if (depth <= hidden_depth(offset - room.distance)) return room;
  double a = 0, b = room.distance;  // a hidden layer comes out on the way
  for (int i = 0; i < 100 && b - a > 1e-12; ++i) {
    const double m = (a + b) / 2;
    (depth <= hidden_depth(offset - m) ? a : b) = m;
  }
  return {b, Wish::hidden};
}

}  // namespace ovolo
