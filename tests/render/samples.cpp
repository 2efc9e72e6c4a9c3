#include "tests/render/samples.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace samples {

using namespace ovolo;

double Cut::height(double u) const {
  const double r = u + offset;  // distance from the axis' path
  const double a = tip(), c = a + std::sqrt(radius * radius - h0() * h0());
  if (r >= c) return 0;
  const double f = r <= a ? 0 : -h0() + std::sqrt(radius * radius - (c - r) * (c - r));
  return std::min(0.0, -depth + f);
}

Stock three_layers() {
  Stock stock;
  stock.width = 400;
  stock.height = 250;
  stock.layers = {{"cap", 1.3, {0x1f, 0x4e, 0x3d}},
                  {"core", 10.1, {0xf2, 0xea, 0xd7}},
                  {"back", 1.3, {0x1f, 0x4e, 0x3d}}};
  return stock;
}

Section section(const Cut& cut, double u_max) {
  const double a = cut.tip(), c = a + std::sqrt(cut.radius * cut.radius - cut.h0() * cut.h0());
  const Vec2 centre{c - cut.offset, -cut.depth - cut.h0()};
  Section out;
  out.u_max = u_max;
  const auto add = [&](const Segment& shape, SectionFace face) {
    SectionPiece piece;
    piece.kind = shape.is_arc() ? SectionPiece::Kind::arc : SectionPiece::Kind::line;
    piece.shape = shape;
    piece.face = face;
    piece.move = face == SectionFace::cut ? 0 : -1;
    out.pieces.push_back(piece);
  };
  const double band = std::max(0.0, a - cut.offset);
  if (band > 0) add(Segment::line({0, -cut.depth}, {band, -cut.depth}), SectionFace::cut);
  const double u0 = std::max(0.0, a - cut.offset);
  const Vec2 start{u0, centre.y + std::sqrt(cut.radius * cut.radius - (u0 - centre.x) * (u0 - centre.x))};
  const bool lip = cut.depth > cut.working_depth;
  const Vec2 end = lip ? Vec2{centre.x, centre.y + cut.radius}
                       : Vec2{centre.x - std::sqrt(cut.radius * cut.radius - centre.y * centre.y), 0};
  add(Segment::arc_between(start, end, centre, false), SectionFace::cut);
  if (lip) add(Segment::line(end, {end.x, 0}), SectionFace::cut);
  add(Segment::line({end.x, 0}, {u_max, 0}), SectionFace::top);
  return out;
}

SectionMeasures measures(const Cut& cut) {
  const double R = cut.radius, D = cut.depth, o = cut.offset, h0 = cut.h0();
  const double a = cut.tip(), c = a + std::sqrt(R * R - h0 * h0);
  SectionMeasures m;
  m.cut = true;
  m.lip = std::max(0.0, D - cut.working_depth);
  m.band = std::max(0.0, a - o);
  m.face_break = D >= cut.working_depth ? 0 : std::acos((D + h0) / R);
  const double h = std::sqrt(R * R - (c - o) * (c - o));
  m.wall_break = o >= a ? std::asin(h / R) : std::asin(h0 / R);
  m.foot_depth = o >= a ? D - (h - h0) : D;
  const double top = std::min(1.0, (D + h0) / R);
  const double bend = std::acos(*m.wall_break == 0 ? 0 : std::sin(*m.wall_break)) - std::acos(top);
  m.curve_length = R * bend + *m.lip + *m.band;
  m.round_width = c - o - (D >= cut.working_depth ? 0 : std::sqrt(R * R - (D + h0) * (D + h0)));
  return m;
}

EdgeMeasures edge(const Cut& cut, const Contour& contour, double swing, double ends, double unreached) {
  EdgeMeasures out;
  out.contour = "outline";
  out.length = contour.length();
  const int n = 200;
  for (int i = 0; i < n; ++i) {
    Station station;
    station.weight = out.length / n;
    station.s = (i + 0.5) * station.weight;
    station.point = contour.point(station.s);
    station.normal = perp(contour.tangent(station.s));
    station.reach = 40;
    Cut here = cut;
    here.depth += swing * std::sin(2 * std::numbers::pi * station.s / out.length);
    station.measures = measures(here);
    station.measures.exposure = {1.0, here.depth - 1.3, 0.0};
    if (station.s < ends) station.kind = StationKind::end;
    if (std::fabs(station.s - out.length / 2) < unreached / 2) station.kind = StationKind::unreached;
    out.stations.push_back(station);
  }
  for (const char* name : {"cap", "core", "back"}) out.exposure.push_back({name, {}, 0});
  return out;
}

Heightfield field(const Cut& cut, const Contour& contour, const Box2& window, double cell, double through) {
  const auto columns = static_cast<std::int64_t>(std::ceil((window.hi.x - window.lo.x) / cell));
  const auto rows = static_cast<std::int64_t>(std::ceil((window.hi.y - window.lo.y) / cell));
  Heightfield out(window.lo, cell, columns, rows);
  std::vector<std::int64_t> tiles(static_cast<std::size_t>(out.tile_columns() * out.tile_rows()));
  for (std::size_t i = 0; i < tiles.size(); ++i) tiles[i] = static_cast<std::int64_t>(i);
  out.hold(tiles);
  for (std::int64_t tj = 0; tj < out.tile_rows(); ++tj) {
    for (std::int64_t ti = 0; ti < out.tile_columns(); ++ti) {
      float* heights = out.tile_for_write(ti, tj);
      for (int j = 0; j < Heightfield::kTile; ++j) {
        for (int i = 0; i < Heightfield::kTile; ++i) {
          const Vec2 p = out.cell_centre(ti * Heightfield::kTile + i, tj * Heightfield::kTile + j);
          const double d = contour.nearest(p).distance;
          double z = contour.contains(p) ? cut.height(d) : -cut.depth + 0.0;
          if (!contour.contains(p)) z = d < 6 ? -through : cut.height(d - 6 > 0 ? 40 : 0);
          heights[j * Heightfield::kTile + i] = static_cast<float>(z);
        }
      }
    }
  }
  return out;
}

}  // namespace samples
