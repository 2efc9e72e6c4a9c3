#include "render/marks_draw.hpp"

#include <algorithm>

#include "render/layer_look.hpp"

namespace ovolo::render {

double section_start(const Section& s) { return s.pieces.empty() ? 0 : s.pieces.front().start().y; }

void append_section(Path& path, const Section& section, const Map& map, double far, bool begin) {
  Vec2 end{0, section_start(section)};
  if (section.folded && !section.pieces.empty()) end = section.pieces.front().start();
  if (begin) path.move(map(end));
  for (const SectionPiece& piece : section.pieces) {
    if (piece.kind != SectionPiece::Kind::curve) {
      path.segment(piece.shape, map);
    } else {
      Vec2 last = map(piece.start());
      for (const Vec2 q : piece.points)
        if (distance(map(q), last) >= 0.25) path.line(last = map(q));
      path.line(map(piece.end()));
    }
    end = piece.end();
  }
  if (end.x < far) path.line(map({far, end.y}));
}

void draw_material(Canvas& canvas, const PixelBox& frame, const Section& section, const Stock& stock,
                   const Map& map) {
  const double far = (frame.hi.x - map.origin.x) / map.scale, bottom = -stock.thickness();
  const Vec2 foot = map({0, section_start(section)});
  Path body, surface;
  if (section.folded) {
    append_section(body, section, map, far, true);
    body.line(map({far, bottom})).close();
  } else {
    body.move(map({0, bottom})).line(foot);
    append_section(body, section, map, far, false);
    body.line(map({far, bottom})).close();
  }
  append_section(surface, section, map, far, true);
  canvas.begin_clip(body);
  double top = 1;  // what stands above the face belongs to the top layer
  double z = 0;
  for (std::size_t i = 0; i < stock.layers.size(); ++i) {
    z -= stock.layers[i].thickness;
    const PixelBox box{map({-1, top}), map({far, z})};
    canvas.rectangle(box, {plot_color(stock.layers[i]), "", 1, false}, no_stroke());
    if (i > 0) canvas.line(box.lo, {box.hi.x, box.lo.y}, {kInk, 0.8, "", 0.6});
    top = z;
  }
  canvas.end();
  if (!section.folded) canvas.line(foot, map({0, bottom}), {kInk, 1.5, "", 1});
  canvas.path(surface, no_fill(), {kInk, 1.8, "", 1});
}

void draw_crests(Canvas& canvas, const CurveMarks& marks, const Map& map, double times) {
  const auto& points = marks.points;
  if (times <= 0 || points.size() < 2) return;
  std::vector<Vec2> polygon;
  for (const MarkPoint& point : points) polygon.push_back(map(point.place.at));
  for (std::size_t i = points.size(); i-- > 0;) {
    const MarkPoint& point = points[i];
    const Vec2 a = points[i > 0 ? i - 1 : 0].place.at,
               b = points[std::min(i + 1, points.size() - 1)].place.at;
    const double chord = distance(a, b);
    const Vec2 out = chord > 0 ? perp((b - a) / chord) : Vec2{};
    const double height = point.marks ? point.marks->rt : point.place.radius * point.place.upright;
    polygon.push_back(map(point.place.at + std::min(times * height, 1.0) * out));
  }
  canvas.polygon(polygon, {kOrange, "", 0.9, false}, no_stroke());
}

void draw_feed_strip(Canvas& canvas, const PixelBox& box, const CurveMarks& marks, double travel,
                     double rise) {
  constexpr int kPlaces = 600;
  if (marks.points.empty() || marks.tallest <= 0) return;
  const MarkPlace& place = marks.points[marks.tallest_point].place;
  if (place.radius <= 0) return;
  const double floor = box.hi.y - 18;
  const std::vector<double> heights = mark_heights(place.radius, marks.cuts[place.cut], travel, kPlaces);
  std::vector<Vec2> polygon{{box.lo.x, box.hi.y}};
  for (int k = 0; k < kPlaces; ++k) {
    const double z =
        std::min(heights[static_cast<std::size_t>(k)] * place.upright * rise, floor - box.lo.y - 2);
    polygon.push_back({box.lo.x + box.width() * k / (kPlaces - 1), floor - z});
  }
  polygon.push_back(box.hi);
  canvas.begin_clip(Path().rectangle(box.lo, box.hi));
  canvas.polygon(polygon, {kOrange, "", 0.85, false}, {kInk, 1.2, "", 1});
  canvas.end();
}

}  // namespace ovolo::render
