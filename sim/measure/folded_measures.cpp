#include "sim/measure/folded_measures.hpp"

#include <algorithm>
#include <cmath>

#include "sim/measure/graph.hpp"

namespace ovolo {
namespace {

constexpr double kLevel = 1e-9;  // mm
constexpr double kWall = 1e-3;   // mm: a part that ends this near to the line ends on it

Vec2 over(Vec2 p, double thickness) { return {p.x, -thickness - p.y}; }

SectionPiece turned_piece(const SectionPiece& p, double thickness) {
  SectionPiece out = p;
  const Vec2 a = over(p.shape.b, thickness), b = over(p.shape.a, thickness);
  if (p.shape.is_arc()) {
    out.shape = Segment::arc_between(a, b, over(p.shape.centre, thickness), p.shape.sweep > 0);
    out.shape.radius = p.shape.radius;
  } else {
    out.shape = Segment::line(a, b);
  }
  std::reverse(out.points.begin(), out.points.end());
  for (Vec2& q : out.points) q = over(q, thickness);
  out.start_slope = -p.end_slope;
  out.end_slope = -p.start_slope;
  if (p.face == SectionFace::top) out.face = SectionFace::bottom;
  if (p.face == SectionFace::bottom) out.face = SectionFace::top;
  return out;
}

// Index of the first piece after the place nearest to the contour's line.
std::size_t after_nose(const std::vector<SectionPiece>& pieces) {
  std::size_t best = 0;
  double least = 1e300;
  for (std::size_t i = 0; i < pieces.size(); ++i)
    if (pieces[i].end().x <= least + kLevel) {
      least = std::min(least, pieces[i].end().x);
      best = i + 1;
    }
  return best;
}

void reverse_layers(SectionMeasures& m) {
  std::reverse(m.exposure.begin(), m.exposure.end());
  std::reverse(m.exposure_moment.begin(), m.exposure_moment.end());
}

// What both halves of a form that works on both faces have together.
void add_half(SectionMeasures& m, const SectionMeasures& half) {
  m.cut = m.cut || half.cut;
  m.curve_length += half.curve_length;
  for (std::size_t i = 0; i < m.exposure.size(); ++i) {
    m.exposure[i] += half.exposure[i];
    m.exposure_moment[i] += half.exposure_moment[i];
  }
  m.excess += half.excess;
  m.gouge += half.gouge;
  m.excess_max = std::max(m.excess_max, half.excess_max);
  m.gouge_max = std::max(m.gouge_max, half.gouge_max);
  m.excess_moment += half.excess_moment;
  m.gouge_moment += half.gouge_moment;
  m.blend += half.blend;
  m.blend_moment += half.blend_moment;
}

SectionMeasures measure_from(const Section& section, const SectionContext& context, const Stock& turned,
                             Face face) {
  SectionContext seen = context;
  seen.face = face;
  if (face == Face::bottom) seen.stock = &turned;
  const std::vector<SectionPiece> run = moulded_run(section, seen);
  // A floor of another operation within this one's surface is no face.
  const auto own = std::find_if(run.rbegin(), run.rend(),
                                [&](const SectionPiece& p) { return p.operation == context.operation; });
  const auto floor = std::find_if(run.begin(), run.end(), [&](const SectionPiece& p) {
    return p.operation >= 0 && static_cast<std::size_t>(p.operation) < seen.makes_face.size() &&
           seen.makes_face[static_cast<std::size_t>(p.operation)];
  });
  if (own != run.rend() && floor < own.base()) seen.makes_face.assign(seen.makes_face.size(), false);
  SectionMeasures m = measure_outline(run, seen);
  if (face == Face::bottom) reverse_layers(m);
  return m;
}

// Does a chain's material lie at (u, z)? It is below the lowest crossing, and between every second pair
// above.
class Under {
 public:
  explicit Under(const std::vector<Segment>& chain) {
    for (const Segment& s : chain)
      if (std::abs(s.b.x - s.a.x) > kLevel) graphs_.push_back(s);
  }
  const std::vector<Segment>& graphs() const { return graphs_; }
  // The pieces over u, from below.
  std::vector<const Segment*> at(double u) const {
    std::vector<const Segment*> out;
    for (const Segment& s : graphs_)
      if (u > std::min(s.a.x, s.b.x) && u < std::max(s.a.x, s.b.x)) out.push_back(&s);
    std::sort(out.begin(), out.end(),
              [&](const Segment* a, const Segment* b) { return height_at(*a, u) < height_at(*b, u); });
    return out;
  }

 private:
  std::vector<Segment> graphs_;
};

// Integrals of z du and u z du under a piece between u0 < u1, whichever way it runs.
AreaIntegral under(const Segment& s, double u0, double u1) {
  return s.a.x < s.b.x ? area_integral(s, u0, u1) : area_integral(s.reversed(), u0, u1);
}

}  // namespace

Section turned_section(const Section& section) {
  Section out = section;
  const auto turn = [&](std::vector<SectionPiece>& pieces) {
    std::reverse(pieces.begin(), pieces.end());
    for (SectionPiece& p : pieces) p = turned_piece(p, section.thickness);
  };
  turn(out.pieces);
  for (auto& hollow : out.hollows) turn(hollow);
  return out;
}

bool from_below(const EdgeMeasures& edge) { return edge.face == Face::bottom && !edge.other; }

Stock turned_stock(const Stock& stock) {
  Stock out = stock;
  std::reverse(out.layers.begin(), out.layers.end());
  return out;
}

std::vector<SectionPiece> moulded_run(const Section& section, const SectionContext& context) {
  const std::vector<SectionPiece> pieces =
      context.face == Face::bottom ? turned_section(section).pieces : section.pieces;
  // After each stretch of wall a run may begin; it ends at the next one, or on the face.
  std::vector<std::size_t> begins;
  for (std::size_t i = 0; i < pieces.size(); ++i)
    if (pieces[i].face == SectionFace::wall) begins.push_back(i + 1);
  std::size_t begin = begins.empty() ? after_nose(pieces) : begins.back();
  if (!context.both)
    for (const std::size_t b : begins)
      for (std::size_t i = b; i < pieces.size() && pieces[i].face == SectionFace::cut; ++i)
        if (pieces[i].operation == context.operation) begin = b;
  return {pieces.begin() + static_cast<std::ptrdiff_t>(begin), pieces.end()};
}

SectionMeasures measure_folded(const Section& section, const SectionContext& context) {
  if (section.pieces.empty()) {  // all of it is gone, as beside a corner whose sides end short of their lines
    SectionMeasures none;
    none.cut = true;
    none.meets_face = false;
    none.exposure.assign(context.stock->layers.size(), 0);
    none.exposure_moment = none.exposure;
    none.wall_left = 0;
    none.overcut = section.u_max;
    return none;
  }
  const Stock turned = turned_stock(*context.stock);
  SectionMeasures m = measure_from(section, context, turned, context.face);
  if (context.both) {
    const SectionMeasures below =
        measure_from(section, context, turned, context.face == Face::top ? Face::bottom : Face::top);
    m.other = OtherFace{below.lip,        below.band,        below.face_break, below.wall_break,
                        below.foot_depth, below.round_width, below.meets_face};
    m.meets_face = m.meets_face && below.meets_face;
    add_half(m, below);
  }
  double wall = 0, nearest = section.u_max;
  for (const SectionPiece& p : section.pieces) {
    nearest = std::min({nearest, p.start().x, p.end().x});
    if (p.face == SectionFace::wall) wall += std::abs(p.end().y - p.start().y);
  }
  m.wall_left = wall;
  m.overcut = nearest > kWall ? nearest : 0;
  m.thinnest = section.thinnest;
  // Both halves must come from their faces to the same stretch of wall, or to each other.
  SectionContext top = context, bottom = context;
  top.face = Face::top;
  bottom.face = Face::bottom;
  top.both = bottom.both = true;
  const auto above = moulded_run(section, top), below = moulded_run(section, bottom);
  const auto moulded = [](const std::vector<SectionPiece>& run) {
    return !run.empty() && run.front().face == SectionFace::cut;
  };
  if (moulded(above) && moulded(below))
    m.mismatch = std::abs(above.front().start().y - below.front().start().y);
  return m;
}

void measure_folded_deviation(const std::vector<Segment>& surface, const WantedForm& wanted, double reach,
                              bool to_face, SectionMeasures& out) {
  std::vector<Segment> chain = surface, target = wanted.curve;
  double limit = wanted.width;
  for (const Segment& s : chain) limit = std::max({limit, s.a.x, s.b.x});
  limit = std::min(limit + 1, reach);
  const auto close = [&](std::vector<Segment>& c, bool face) {
    if (face && !c.empty() && c.back().b.x < limit)
      c.push_back(Segment::line(c.back().b, {limit, c.back().b.y}));
  };
  close(chain, to_face);
  close(target, !target.empty() && target.back().b.y > -kLevel && target.back().b.x > kLevel);
  const Under actual(chain), asked(target);
  std::vector<double> cuts{0, limit};
  for (const Under* side : {&actual, &asked})
    for (const Segment& s : side->graphs()) {
      cuts.push_back(s.a.x);
      cuts.push_back(s.b.x);
    }
  for (const Segment& a : actual.graphs())
    for (const Segment& t : asked.graphs())
      for (const Crossing& c : crossings(a, t)) cuts.push_back(a.point(c.s).x);
  std::sort(cuts.begin(), cuts.end());
  for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
    const double u0 = std::clamp(cuts[i], 0.0, limit), u1 = std::clamp(cuts[i + 1], 0.0, limit);
    if (u1 - u0 < 1e-12) continue;
    const double middle = (u0 + u1) / 2;
    struct Side {
      const Segment* piece;
      double z;
      bool actual;
    };
    std::vector<Side> sides;
    for (const Segment* s : actual.at(middle)) sides.push_back({s, height_at(*s, middle), true});
    for (const Segment* s : asked.at(middle)) sides.push_back({s, height_at(*s, middle), false});
    std::stable_sort(sides.begin(), sides.end(), [](const Side& a, const Side& b) { return a.z < b.z; });
    // From below: material of both, until a piece of either ends or begins it.
    bool is = true, should = true;
    for (std::size_t k = 0; k + 1 <= sides.size(); ++k) {
      (sides[k].actual ? is : should) = !(sides[k].actual ? is : should);
      if (is == should || k + 1 == sides.size()) continue;
      const AreaIntegral low = under(*sides[k].piece, u0, u1), high = under(*sides[k + 1].piece, u0, u1);
      (is ? out.excess : out.gouge) += high.area - low.area;
      (is ? out.excess_moment : out.gouge_moment) += high.moment - low.moment;
    }
  }
  // Below the wanted foot the wall is wanted.
  std::vector<Segment> outline = target;
  if (!target.empty() && target.front().a.x < kLevel)
    outline.push_back(Segment::line(target.front().a, target.front().a - Vec2{0, limit}));
  const auto off = [&](Vec2 p) {
    double d = 1e300;
    for (const Segment& s : outline) d = std::min(d, s.distance(p));
    std::size_t below = 0;
    for (const Segment* s : asked.at(p.x)) below += height_at(*s, p.x) < p.y ? 1 : 0;
    return below % 2 == 1 ? d : -d;  // above an odd number of pieces there should be none
  };
  for (const Segment& s : surface) {
    constexpr int kSamples = 32;
    for (int i = 0; i <= kSamples; ++i) {
      const double d = off(s.point(s.length() * i / kSamples));
      if (std::abs(d) < 1e-7) continue;
      out.excess_max = std::max(out.excess_max, d);
      out.gouge_max = std::max(out.gouge_max, -d);
    }
  }
}

}  // namespace ovolo
