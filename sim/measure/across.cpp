#include "sim/measure/across.hpp"

#include <algorithm>
#include <cmath>

#include "sim/measure/stations.hpp"

namespace ovolo {
namespace {

constexpr double kTouch = 1e-6;  // mm: shorter stretches hang nothing together

std::vector<std::pair<double, double>> walls_of(const Section& s) {
  std::vector<std::pair<double, double>> out;
  for (const SectionPiece& p : s.pieces)
    if (p.face == SectionFace::wall) out.push_back(std::minmax({p.start().y, p.end().y}));
  return out;
}

Vec2 mirrored(Vec2 p) { return {-p.x, p.y}; }

void mirror(std::vector<SectionPiece>& pieces) {
  for (SectionPiece& p : pieces) {
    const Segment& s = p.shape;
    Segment turned = s.is_arc()
                         ? Segment::arc_between(mirrored(s.a), mirrored(s.b), mirrored(s.centre), s.sweep < 0)
                         : Segment::line(mirrored(s.a), mirrored(s.b));
    if (s.is_arc()) turned.radius = s.radius;
    p.shape = turned;
    for (Vec2& q : p.points) q = mirrored(q);
    p.start_slope = -p.start_slope;
    p.end_slope = -p.end_slope;
  }
}

}  // namespace

std::vector<std::pair<double, double>> joined_at_line(const Section& own, const Section& across) {
  std::vector<std::pair<double, double>> out;
  for (const auto& [a0, a1] : walls_of(own))
    for (const auto& [b0, b1] : walls_of(across))
      if (std::min(a1, b1) - std::max(a0, b0) > kTouch) out.emplace_back(std::max(a0, b0), std::min(a1, b1));
  std::sort(out.begin(), out.end());
  return out;
}

std::optional<Section> across_the_line(SectionMaker& maker, const Stock& stock, const Station& station,
                                       const Section& own, double reach) {
  if (!own.folded || walls_of(own).empty()) return {};
  const double far = to_border(stock, station.point, -station.normal, reach);
  if (far < 0.01) return {};
  Section out = maker.make({station.point, -station.normal, far});
  if (joined_at_line(own, out).empty()) return {};
  mirror(out.pieces);
  for (auto& hollow : out.hollows) mirror(hollow);
  return out;
}

}  // namespace ovolo
