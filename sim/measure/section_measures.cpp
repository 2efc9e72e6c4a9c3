#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "sim/measure/edge.hpp"
#include "sim/measure/folded_measures.hpp"
#include "sim/measure/graph.hpp"

namespace ovolo {
namespace {

constexpr double kLevel = 1e-9;    // mm, a run with less rise is level
constexpr double kAtLayer = 1e-7;  // mm, a floor this near a joint shows the layer below
constexpr double kFoot = 1e-6;     // radians: a curve this far below level falls towards the middle

// A piece as plain lines and arcs; `owners` gets the piece for each of them.
void flatten(const SectionPiece& piece, std::vector<Segment>& out, std::vector<const SectionPiece*>& owners) {
  if (piece.kind != SectionPiece::Kind::curve) {
    out.push_back(piece.shape);
    owners.push_back(&piece);
    return;
  }
  for (std::size_t i = 0; i + 1 < piece.points.size(); ++i) {
    out.push_back(Segment::line(piece.points[i], piece.points[i + 1]));
    owners.push_back(&piece);
  }
}

// Angle above the level of a segment's end or start; a sampled curve's own slope, not its chord's.
double end_angle(const Segment& s, const SectionPiece& owner) {
  if (owner.kind == SectionPiece::Kind::curve && s.b == owner.points.back())
    return std::atan(owner.end_slope);
  const Vec2 t = s.tangent(s.length());
  return std::atan2(t.y, t.x);
}
double start_angle_of(const Segment& s, const SectionPiece& owner) {
  if (owner.kind == SectionPiece::Kind::curve && s.a == owner.points.front())
    return std::atan(owner.start_slope);
  const Vec2 t = s.tangent(0);
  return std::atan2(t.y, t.x);
}

// The moulded surface: pieces from the wall out to the first that counts as a face, or is wall again.
struct Moulded {
  std::size_t count = 0;
  bool meets_face = false, meets_wall = false;
  double face_z = 0;
};

bool is_face(const SectionPiece& piece, const SectionContext& context) {
  if (piece.face == SectionFace::top) return true;
  return piece.operation >= 0 && static_cast<std::size_t>(piece.operation) < context.makes_face.size() &&
         context.makes_face[static_cast<std::size_t>(piece.operation)];
}

Moulded moulded_part(const std::vector<SectionPiece>& pieces, const SectionContext& context) {
  Moulded m;
  for (; m.count < pieces.size(); ++m.count) {
    m.meets_wall = pieces[m.count].face == SectionFace::wall;
    if (m.meets_wall) return m;
    if (is_face(pieces[m.count], context)) {
      m.meets_face = true;
      m.face_z = pieces[m.count].start().y;
      return m;
    }
  }
  return m;
}

// Height of the upright run at the outer end of a wanted form, and width of the level run at its foot.
double face_fillet(const WantedForm& wanted) {
  double rise = 0;
  for (auto it = wanted.curve.rbegin();
       it != wanted.curve.rend() && !it->is_arc() && std::abs(it->b.x - it->a.x) < kLevel; ++it)
    rise += it->b.y - it->a.y;
  return rise;
}
double foot_fillet(const WantedForm& wanted) {
  double run = 0;
  for (const Segment& s : wanted.curve) {
    if (s.is_arc() || std::abs(s.b.y - s.a.y) > kLevel) break;
    run += s.b.x - s.a.x;
  }
  return run;
}

void measure_exposure(const std::vector<Segment>& surface, const Stock& stock, SectionMeasures& out) {
  const std::size_t n = stock.layers.size();
  out.exposure.assign(n, 0);
  out.exposure_moment.assign(n, 0);
  std::vector<Segment> parts;
  double top = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const double bottom =
        i + 1 == n ? -std::numeric_limits<double>::infinity() : top - stock.layers[i].thickness;
    const double hi = i == 0 ? std::numeric_limits<double>::infinity() : top;
    parts.clear();
    for (const Segment& s : surface) {
      if (!s.is_arc() && std::abs(s.a.y - s.b.y) < kLevel) {  // a floor: what lies just below it shows
        const double z = s.a.y - kAtLayer;
        if (z > bottom && z <= hi) parts.push_back(s);
      } else {
        part_between(s, bottom, hi, parts);
      }
    }
    for (const Segment& p : parts) {
      const LengthIntegral l = length_integral(p);
      out.exposure[i] += l.length;
      out.exposure_moment[i] += l.moment;
    }
    top = bottom;
  }
}

// Actual and wanted surface as graphs over u, and what lies between them above the foot, up to where the
// section ends (`reach`).
void measure_deviation(const std::vector<Segment>& surface, const WantedForm& wanted, double foot, double end,
                       double reach, bool to_face, SectionMeasures& out) {
  std::vector<Segment> actual, target;
  for (const Segment& s : surface)
    if (s.b.x - s.a.x > kLevel) actual.push_back(s);
  const double limit = to_face ? std::clamp(wanted.width, end, std::max(end, reach)) : end;
  if (to_face && limit > end + kLevel) actual.push_back(Segment::line({end, 0}, {limit, 0}));
  for (const Segment& s : wanted.curve)
    if (s.b.x - s.a.x > kLevel) target.push_back(s);
  if (limit > wanted.width + kLevel) target.push_back(Segment::line({wanted.width, 0}, {limit, 0}));
  if (actual.empty() || target.empty()) return;

  const Segment floor = Segment::line({0, foot}, {limit, foot});
  std::vector<double> cuts{0, limit};
  for (const Segment& a : actual) {
    cuts.push_back(a.b.x);
    for (const Segment& t : target)
      for (const Crossing& c : crossings(a, t)) cuts.push_back(a.point(c.s).x);
  }
  for (const Segment& t : target) {
    cuts.push_back(t.b.x);
    for (const Crossing& c : crossings(t, floor)) cuts.push_back(t.point(c.s).x);
  }
  std::sort(cuts.begin(), cuts.end());
  // Places are asked for from the wall outward: what ends before one is passed for good.
  const auto holding = [](const std::vector<Segment>& graph, std::size_t& passed,
                          double u) -> const Segment& {
    while (passed < graph.size() && graph[passed].b.x < u) ++passed;
    for (std::size_t i = passed; i < graph.size(); ++i)
      if (u >= graph[i].a.x && u <= graph[i].b.x) return graph[i];
    return graph.back();
  };
  std::size_t actual_passed = 0, target_passed = 0;
  for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
    const double u0 = std::clamp(cuts[i], 0.0, limit), u1 = std::clamp(cuts[i + 1], 0.0, limit);
    if (u1 - u0 < 1e-12) continue;
    const double middle = (u0 + u1) / 2;
    const Segment &a = holding(actual, actual_passed, middle), &t = holding(target, target_passed, middle);
    const Segment& w = height_at(t, middle) < foot ? floor : t;
    const AreaIntegral ia = area_integral(a, u0, u1), iw = area_integral(w, u0, u1);
    const double area = ia.area - iw.area, moment = ia.moment - iw.moment;
    if (area > 0) {
      out.excess += area;
      out.excess_moment += moment;
    } else {
      out.gouge -= area;
      out.gouge_moment -= moment;
    }
  }

  // Greatest distance from the wanted curve, along its normal; below its foot the wall is wanted.
  std::vector<Segment> outline = wanted.curve;
  if (!outline.empty()) {
    const Vec2 at_wall = outline.front().a;
    double low = at_wall.y;
    for (const Segment& s : surface) low = std::min({low, s.a.y, s.b.y});
    outline.push_back(Segment::line(at_wall, {at_wall.x, low - 1}));
  }
  outline.push_back(Segment::line({wanted.width, 0}, {std::max(limit, wanted.width) + 1, 0}));
  const auto off = [&](Vec2 p) {
    double d = std::numeric_limits<double>::infinity();
    for (const Segment& s : outline) d = std::min(d, s.distance(p));
    return p.y > -wanted.depth_at(p.x) ? d : -d;
  };
  const auto note = [&](double d) {
    out.excess_max = std::max(out.excess_max, d);
    out.gouge_max = std::max(out.gouge_max, -d);
  };
  std::optional<double> before;  // where the last segment ended
  for (std::size_t k = 0; k < surface.size(); ++k) {
    const Segment& s = surface[k];
    constexpr int kMostSamples = 16;
    constexpr double kSpacing = 0.02;  // mm: a sampled curve's chords are about so short themselves
    const double len = s.length();
    if (len < kLevel) continue;
    const int samples = std::clamp(static_cast<int>(std::ceil(len / kSpacing)), 2, kMostSamples);
    double d[kMostSamples + 1];
    for (int i = 0; i <= samples; ++i) {
      d[i] = i == 0 && before && surface[k - 1].b == s.a ? *before : off(s.point(len * i / samples));
      note(d[i]);
    }
    before = d[samples];
    for (int i = 1; i < samples; ++i) {
      const double sign = d[i] > 0 ? 1 : -1;
      if (sign * d[i] < sign * d[i - 1] || sign * d[i] < sign * d[i + 1]) continue;
      double lo = len * (i - 1) / samples, hi = len * (i + 1) / samples;
      while (hi - lo > 1e-6 * len) {
        const double m1 = lo + (hi - lo) / 3, m2 = hi - (hi - lo) / 3;
        if (sign * off(s.point(m1)) < sign * off(s.point(m2)))
          lo = m1;
        else
          hi = m2;
      }
      note(off(s.point((lo + hi) / 2)));
    }
  }
}

}  // namespace

double blend_section(double lip, double band, const Wishes& wishes) {
  const auto wedge = [](double side, double angle) {
    return side > 0 ? side * side / (2 * std::tan(std::clamp(angle, 1e-3, std::numbers::pi / 2 - 1e-3))) : 0;
  };
  return wedge(lip, wishes.face_break) + wedge(band, wishes.wall_break);
}

SectionMeasures measure_section(const Section& section, const SectionContext& context) {
  return section.folded ? measure_folded(section, context) : measure_outline(section.pieces, context);
}

SectionMeasures measure_outline(const std::vector<SectionPiece>& pieces, const SectionContext& context) {
  SectionMeasures out;
  out.exposure.assign(context.stock->layers.size(), 0);
  out.exposure_moment = out.exposure;
  const Moulded moulded = moulded_part(pieces, context);
  out.meets_face = moulded.meets_face;
  out.meets_wall = moulded.meets_wall;
  if (moulded.count == 0) return out;
  out.cut = true;
  const auto first = pieces.begin();
  const auto last = first + static_cast<std::ptrdiff_t>(moulded.count);
  out.wall_operation = first->operation;

  std::vector<Segment> surface;
  std::vector<const SectionPiece*> owners;
  for (auto it = first; it != last; ++it) flatten(*it, surface, owners);
  out.round_width = surface.back().b.x;
  bool folds = false;
  for (const Segment& s : surface) folds = folds || s.b.x < s.a.x - kLevel;
  for (const Segment& s : context.wanted->curve) folds = folds || s.b.x < s.a.x - kLevel;
  if (folds)
    for (const Segment& s : surface) out.round_width = std::max({out.round_width, s.a.x, s.b.x});
  for (const Segment& s : surface) out.curve_length += length_integral(s).length;
  measure_exposure(surface, *context.stock, out);

  // At the face: the upright run, then the curve below it.
  std::size_t top = surface.size();
  double rise = 0;
  if (moulded.meets_face) {
    while (top > 0 && surface[top - 1].a.x == surface[top - 1].b.x &&
           surface[top - 1].b.y > surface[top - 1].a.y) {
      --top;
      rise += surface[top].b.y - surface[top].a.y;
    }
    out.lip = std::max(0.0, rise - face_fillet(*context.wanted));
    if (*out.lip < kLevel) out.lip = 0;
    if (top > 0) {
      const double angle = end_angle(surface[top - 1], *owners[top - 1]);
      out.face_break = angle < 0 ? 0.0 : angle;
    } else {
      out.face_break = std::numbers::pi / 2;
    }
  }

  // At the wall: the level run, then the curve above it.
  std::size_t bottom = 0;
  double run = 0;
  while (bottom < surface.size() && !surface[bottom].is_arc() &&
         (owners[bottom]->floor || std::abs(surface[bottom].a.y - surface[bottom].b.y) < kLevel)) {
    run += surface[bottom].b.x - surface[bottom].a.x;
    ++bottom;
  }
  const double start_angle = bottom < surface.size() ? start_angle_of(surface[bottom], *owners[bottom]) : 0;
  const bool falls = bottom < surface.size() && start_angle < -kFoot;
  if (!falls) {
    // A level run that the section's end cuts short tells no width.
    if (bottom < surface.size() || moulded.meets_face) {
      out.band = std::max(0.0, run - foot_fillet(*context.wanted));
      if (*out.band < kLevel) out.band = 0;
    }
    out.foot_depth = -surface.front().a.y;
    if (bottom < surface.size()) out.wall_break = std::max(0.0, std::numbers::pi / 2 - start_angle);
  }

  const double foot = surface.front().a.y;
  const double floor = falls ? -std::numeric_limits<double>::max() : foot;
  const bool to_face = moulded.meets_face && moulded.face_z > -kLevel;
  const double reach = pieces.back().end().x;
  if (folds) {
    measure_folded_deviation(surface, *context.wanted, reach, to_face, out);
  } else {
    if (surface.front().a.x > kLevel)  // the part ends short of the line
      surface.insert(surface.begin(), Segment::line({0, surface.front().a.y}, surface.front().a));
    measure_deviation(surface, *context.wanted, floor, out.round_width, reach, to_face, out);
  }

  out.blend = blend_section(out.lip.value_or(0), out.band.value_or(0), *context.wishes);
  const double lip_part = blend_section(out.lip.value_or(0), 0, *context.wishes);
  out.blend_moment = lip_part * out.round_width + (out.blend - lip_part) * out.band.value_or(0) / 2;
  return out;
}

}  // namespace ovolo
