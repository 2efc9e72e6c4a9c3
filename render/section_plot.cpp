#include "render/section_plot.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "render/axis.hpp"
#include "render/labels.hpp"
#include "render/layer_look.hpp"
#include "render/worst.hpp"
#include "sim/measure/across.hpp"
#include "sim/measure/verdict.hpp"

namespace ovolo::render {

namespace {

constexpr double kWidth = 1200, kHeight = 860;
constexpr double kSmall = 30;  ///< px; what is drawn smaller is magnified
constexpr double kTextSize = 13;
constexpr double kAngleRadius = 56;  ///< px, of the arcs that mark angles

/// Places on the section that dimensions and marks refer to, mm in (u, z).
struct Marks {
  double face_z = 0;  ///< of the face the moulded surface meets
  double foot_z = 0;  ///< where the moulded surface meets the wall
  double face_u = 0;  ///< where it meets the face
  bool inch = false;  ///< which unit is told first
};

Marks find_marks(const Section& section, const SectionMeasures& m, bool inch) {
  Marks marks;
  marks.inch = inch;
  marks.face_u = m.round_width;
  if (!section.pieces.empty()) marks.foot_z = section.pieces.front().start().y;
  if (m.foot_depth) marks.foot_z = -*m.foot_depth;
  if (section.folded) {
    for (const SectionPiece& piece : section.pieces)
      if (piece.face == SectionFace::top) marks.face_u = std::min(piece.start().x, piece.end().x);
    return marks;
  }
  for (const SectionPiece& piece : section.pieces) {
    if (piece.upright() || piece.end().x <= m.round_width + 1e-9) continue;
    marks.face_z = piece.start().x >= m.round_width - 1e-6 ? piece.start().y : 0;
    break;
  }
  return marks;
}

struct Patterns {
  std::vector<std::string> layers;
  std::string gouge, excess;
};

/// Draws the section's content into any frame, so that plot and insets agree.
class Painter {
 public:
  Painter(Canvas& canvas, const SectionPlot& plot, const Patterns& patterns)
      : canvas_(canvas), plot_(plot), patterns_(patterns), bottom_(-plot.stock.thickness()) {
    far_ = std::max({plot.section.u_max, plot.wanted.width * 4, 1.0});
    if (plot.across) {
      near_ = -plot.across->u_max;
      joined_ = joined_at_line(plot.section, *plot.across);
    }
  }

  void paint(const Map& map, const PixelBox& frame, double line_width) const {
    canvas_.begin_clip(Path().rectangle(frame.lo, frame.hi));
    const Path material = material_path(map), wanted = wanted_body(map);
    canvas_.begin_clip(material, true);
    double top = std::max(1.0, 2 * plot_.wanted.depth),
           z = 0;  // what stands above the face belongs to the top layer
    for (std::size_t i = 0; i < plot_.stock.layers.size(); ++i) {
      z -= plot_.stock.layers[i].thickness;
      canvas_.rectangle(world_box(map, top, z), {std::nullopt, patterns_.layers[i], 1, false}, no_stroke());
      if (i > 0)
        canvas_.line({world_box(map, top, z).lo}, {world_box(map, top, z).hi.x, map({0, top}).y},
                     {kInk, 0.8, "", 0.7});
      top = z;
    }
    canvas_.end();
    deviations(map, material, wanted);
    const Path cut = cut_path(map);
    if (!plot_.section.folded) {
      canvas_.line(map({0, start_z()}), map({0, bottom_}), {kInk, 0.75 * line_width, "", 1});
      canvas_.line(map({0, bottom_}), map({far_, bottom_}), {kInk, 0.75 * line_width, "", 1});
    }
    canvas_.path(cut, no_fill(), {kPaper, line_width + 2.5, "", 0.9});
    Path wanted_line;
    if (!plot_.wanted.curve.empty()) {
      wanted_line.move(map(plot_.wanted.curve.front().a));
      for (const Segment& s : plot_.wanted.curve) wanted_line.segment(s, map);
      if (plot_.measures.other) {
        wanted_line.move(map(below(plot_.wanted.curve.front().a)));
        for (const Segment& s : plot_.wanted.curve) wanted_line.segment(below(s), map);
      }
      canvas_.path(wanted_line, no_fill(), {kPaper, line_width + 2, "", 0.8});
    }
    canvas_.path(cut, no_fill(), {kInk, line_width, "", 1});
    canvas_.path(wanted_line, no_fill(), {kBlue, 0.8 * line_width, "9 5", 1});
    canvas_.end();
  }

 private:
  // The wanted form of a form that works on both faces, at the other one.
  Vec2 below(Vec2 p) const { return {p.x, bottom_ - p.y}; }
  Segment below(const Segment& s) const {
    if (!s.is_arc()) return Segment::line(below(s.a), below(s.b));
    return Segment::arc_between(below(s.a), below(s.b), below(s.centre), s.sweep < 0);
  }

  double start_z() const { return plot_.section.pieces.empty() ? 0 : plot_.section.pieces.front().start().y; }

  PixelBox world_box(const Map& map, double top, double low) const {
    return {map({near_ - 1, top}), map({far_, low})};
  }

  Path cut_path(const Map& map) const {
    Path path;
    if (plot_.across) {
      append_outline(path, plot_.section, map);
      append_outline(path, *plot_.across, map);
      return path;
    }
    path.move(map(start()));
    append(path, plot_.section.pieces, map);
    append_hollows(path, map, plot_.section);
    return path;
  }

  /// One side of a slot, without the line along which both hang together.
  void append_outline(Path& path, const Section& side, const Map& map) const {
    std::vector<SectionPiece> run;
    const auto end_run = [&] {
      if (run.empty()) return;
      path.move(map(run.front().start()));
      append(path, run, map);
      run.clear();
    };
    for (const SectionPiece& piece : side.pieces) {
      if (piece.face != SectionFace::wall) {
        run.push_back(piece);
        continue;
      }
      end_run();
      double z = std::min(piece.start().y, piece.end().y);
      const double top = std::max(piece.start().y, piece.end().y);
      for (const auto& [lo, hi] : joined_) {
        if (hi <= z || lo >= top) continue;
        if (lo > z) path.move(map({0, z})).line(map({0, lo}));
        z = hi;
      }
      if (z < top) path.move(map({0, z})).line(map({0, top}));
    }
    end_run();
    append_hollows(path, map, side);
  }

  Vec2 start() const {
    return plot_.section.folded && !plot_.section.pieces.empty() ? plot_.section.pieces.front().start()
                                                                 : Vec2{0, start_z()};
  }

  void append_hollows(Path& path, const Map& map, const Section& side) const {
    for (const auto& hollow : side.hollows) {
      if (hollow.empty()) continue;
      path.move(map(hollow.front().start()));
      append(path, hollow, map);
      path.close();
    }
  }

  void append(Path& path, const std::vector<SectionPiece>& pieces, const Map& map) const {
    for (const SectionPiece& piece : pieces) {
      if (piece.kind != SectionPiece::Kind::curve) {
        path.segment(piece.shape, map);
        continue;
      }
      // Points lie within 0.05 um of the curve, far closer than a drawing needs: keep those a quarter pixel
      // apart.
      Vec2 last = map(piece.start());
      for (const Vec2 p : piece.points) {
        if (distance(map(p), last) >= 0.25) path.line(last = map(p));
      }
      path.line(map(piece.end()));
    }
  }

  Path material_path(const Map& map) const {
    Path path;
    if (plot_.section.folded) {
      for (const Section* side : {&plot_.section, plot_.across}) {
        if (!side || side->pieces.empty()) continue;
        path.move(map(side->pieces.front().start()));
        append(path, side->pieces, map);
        path.close();
        append_hollows(path, map, *side);
      }
      return path;
    }
    path.move(map({0, bottom_})).line(map({0, start_z()}));
    append(path, plot_.section.pieces, map);
    const double end = plot_.section.pieces.empty() ? 0 : plot_.section.pieces.back().end().x;
    path.line(map({end, bottom_})).close();
    return path;
  }

  Path wanted_body(const Map& map) const {
    Path path;
    if (plot_.measures.other) {
      path.move(map({far_, bottom_}));
      for (auto it = plot_.wanted.curve.rbegin(); it != plot_.wanted.curve.rend(); ++it) {
        const Segment s = below(it->reversed());
        path.line(map(s.a)).segment(s, map);
      }
    } else {
      path.move(map({0, bottom_}));
    }
    path.line(map({0, -plot_.wanted.depth}));
    for (const Segment& s : plot_.wanted.curve) path.segment(s, map);
    if (!plot_.wanted.curve.empty() && plot_.wanted.curve.back().b.x < 1e-9) path.line(map({0, 0}));
    path.line(map({far_, 0})).line(map({far_, bottom_})).close();
    return path;
  }

  /// Everything above the foot and outside `path`, for cutting one body away from another.
  Path outside_of(const Path& path, const Map& map, double low) const {
    Path out;
    out.rectangle(map({-1, far_}), map({2 * far_, low}));
    return out.append(path);
  }

  void deviations(const Map& map, const Path& material, const Path& wanted) const {
    const double foot =
        plot_.measures.foot_depth && !plot_.measures.other ? -*plot_.measures.foot_depth : bottom_;
    canvas_.begin_clip(Path().rectangle(map({0, far_}), map({2 * far_, foot})));
    canvas_.begin_clip(wanted);
    canvas_.path(outside_of(material, map, bottom_), {std::nullopt, patterns_.gouge, 1, true}, no_stroke());
    canvas_.end();
    canvas_.begin_clip(material, true);
    canvas_.path(outside_of(wanted, map, bottom_), {std::nullopt, patterns_.excess, 1, true}, no_stroke());
    canvas_.end();
    canvas_.end();
  }

  Canvas& canvas_;
  const SectionPlot& plot_;
  const Patterns& patterns_;
  double bottom_, far_, near_ = 0;
  std::vector<std::pair<double, double>> joined_;  ///< stretches of z
};

TextStyle label_style(bool bold = false) {
  TextStyle style;
  style.size = kTextSize;
  style.bold = bold;
  style.halo = true;
  return style;
}

/// Two lines, the own unit and the other, with a name before them: "lip 0.050 mm" over "0.0020 in".
void dimension_text(Canvas& canvas, Vec2 at, const std::string& name, double mm, Anchor anchor, bool inch) {
  TextStyle style = label_style(true);
  style.anchor = anchor;
  canvas.text(at, fmt::format("{} {}", name, inch ? inch_text(mm) : mm_text(mm)), style);
  style.bold = false;
  canvas.text(at + Vec2{0, 16}, inch ? mm_text(mm) : inch_text(mm), style);
}

/// Lip dimensioned to the left of the rise, in any frame.
void dimension_lip(Canvas& canvas, const Map& map, const Marks& marks, double lip) {
  const Vec2 top = map({marks.face_u, marks.face_z}), low = map({marks.face_u, marks.face_z - lip});
  const double x = top.x - 34;
  canvas.line({x - 6, top.y}, top, {kInk, 0.9, "3 3", 1});
  canvas.line({x - 6, low.y}, {low.x - 2, low.y}, {kInk, 0.9, "", 0.5});
  canvas.dimension({x, top.y}, {x, low.y}, {kInk, 1.3, "", 1}, low.y - top.y < 24);
  dimension_text(canvas, {x - 10, (top.y + low.y) / 2 - 3}, "lip", lip, Anchor::end, marks.inch);
}

/// Band dimensioned below the foot, in any frame.
void dimension_band(Canvas& canvas, const Map& map, const Marks& marks, double band) {
  const Vec2 a = map({0, marks.foot_z}), b = map({band, marks.foot_z});
  const double y = a.y + 30;
  canvas.line(a, {a.x, y + 6}, {kInk, 0.9, "", 0.6});
  canvas.line(b, {b.x, y + 6}, {kInk, 0.9, "", 0.6});
  canvas.dimension({a.x, y}, {b.x, y}, {kInk, 1.3, "", 1}, b.x - a.x < 24);
  dimension_text(canvas, {(a.x + b.x) / 2, y + 20}, "flat band", band, Anchor::middle, marks.inch);
}

class SectionSheet {
 public:
  explicit SectionSheet(const SectionPlot& plot)
      : plot_(plot),
        canvas_(kWidth, kHeight, kPaper),
        marks_(find_marks(plot.section, plot.measures, plot.inch)),
        kinds_(layer_kinds(plot.stock)) {
    for (std::size_t i = 0; i < kinds_.kinds.size(); ++i) {
      kind_patterns_.push_back(layer_pattern(canvas_, *kinds_.kinds[i].layer, i));
    }
    for (const std::size_t kind : kinds_.of) patterns_.layers.push_back(kind_patterns_[kind]);
    patterns_.gouge = canvas_.cross_hatch(kBlue, 1.1, 6, mix(kPaper, kBlue, 0.14));
    patterns_.excess = canvas_.hatch(kOrange, 2, 5, Hatch::upright, mix(kPaper, kOrange, 0.25));
    if (plot.wishes) {
      const Standard standard{*plot.wishes, plot.wanted, plot.stock};
      face_limit_ = standard.face_break();
      wall_limit_ = standard.wall_break();
    }
    lay_out();
  }

  std::string draw() {
    heading();
    const Painter painter(canvas_, plot_, patterns_);
    canvas_.begin_group("section");
    painter.paint(map_, frame_, 2.6);
    torn_edges();
    layer_names();
    canvas_.end();
    canvas_.begin_group("dimensions");
    foot_dimension();
    breaks();
    lip_and_band(painter);
    scale_bar(canvas_, {frame_.lo.x + 6, kHeight - 46}, bar_length(110 / map_.scale, plot_.inch), map_.scale,
              plot_.inch);
    canvas_.end();
    table();
    legend();
    return canvas_.svg();
  }

 private:
  /// The frame, and a scale that shows the moulded surface large with some of the sheet around it.
  void lay_out() {
    const SectionMeasures& m = plot_.measures;
    const double foot = std::max(0.0, -marks_.foot_z);
    const double reach_u = std::max({plot_.wanted.width, m.round_width, m.band.value_or(0), 0.2});
    const double reach_z = std::max({plot_.wanted.depth, foot, 0.2});
    const double thickness = plot_.stock.thickness();
    // A folded section shows both faces, unless the form would be lost on a very thick sheet.
    const bool whole = thickness <= (plot_.section.folded ? 8 : 2) * reach_z;
    const double show_z = whole ? thickness + 0.08 * reach_z : 1.55 * reach_z;
    frame_ = {{300, 176}, {790, 780}};
    if (plot_.across) frame_.lo.x = 190;
    const double left_u = plot_.across ? std::min(plot_.across->u_max, 1.4 * reach_u) : 0;
    map_.scale = std::min(frame_.width() / (1.4 * reach_u + left_u), (frame_.height() - 10) / show_z);
    map_.origin = frame_.lo + Vec2{map_.scale * left_u, 0};
    if (show_z >= thickness) frame_.hi.y = std::min(frame_.hi.y, map_({0, -show_z}).y);
    frame_.lo.x -= 6;
    frame_.lo.y -= 6;
    whole_sheet_ = show_z >= thickness;
  }

  void heading() {
    TextStyle style;
    style.size = 20;
    style.bold = true;
    canvas_.text({40, 44}, fitted(plot_.title, kWidth - 80, style.size, true), style);
    style = {};
    style.color = kMuted;
    style.size = 14;
    canvas_.text({40, 68}, fitted("Section across the edge, " + plot_.place, kWidth - 80, style.size), style);
  }

  /// The sheet goes on to the right, and often downwards: a torn line says so.
  void torn_edges() {
    const auto torn = [&](Vec2 a, Vec2 b, Vec2 outward) {
      const double length = distance(a, b);
      const Vec2 along = (b - a) / length, across = perp(along);
      std::vector<Vec2> points;
      for (double s = 0; s <= length; s += 3) points.push_back(a + s * along + 3 * std::sin(s / 9) * across);
      std::vector<Vec2> beyond = points;
      beyond.insert(beyond.end(), {points.back() + 16 * outward, a + 16 * outward});
      canvas_.polygon(beyond, {kPaper, "", 1, false}, no_stroke());
      canvas_.polyline(points, {kMuted, 1, "", 1});
    };
    const double top = map_({0, plot_.section.pieces.empty() ? 0 : plot_.section.pieces.back().end().y}).y;
    const double low = std::min(frame_.hi.y, map_({0, -plot_.stock.thickness()}).y);
    if (low - top > 4) torn({frame_.hi.x - 5, top - 6}, {frame_.hi.x - 5, low + 6}, {1, 0});
    if (plot_.across && low - top > 4) torn({frame_.lo.x + 5, top - 6}, {frame_.lo.x + 5, low + 6}, {-1, 0});
    if (!whole_sheet_ && marks_.foot_z > -plot_.stock.thickness()) {
      torn({frame_.lo.x - 4, frame_.hi.y - 5}, {frame_.hi.x + 6, frame_.hi.y - 5}, {0, 1});
    }
  }

  void layer_names() {
    double z = 0;
    for (const Layer& layer : plot_.stock.layers) {
      const double top = std::max(map_({0, z}).y, frame_.lo.y);
      z -= layer.thickness;
      const double low = std::min(map_({0, z}).y, frame_.hi.y);
      if (low - top < 18 || top > frame_.hi.y - 18) continue;
      TextStyle style = label_style();
      style.anchor = Anchor::end;
      const std::string name = plot_.inch ? fmt::format("{}, {}", layer.name, inch_text(layer.thickness))
                                          : fmt::format("{}, {} mm", layer.name, plain(layer.thickness));
      canvas_.text({frame_.hi.x - 18, (top + low) / 2 + 5}, fitted(name, 190, kTextSize), style);
    }
  }

  void foot_dimension() {
    if (!plot_.measures.foot_depth || *plot_.measures.foot_depth <= 0) return;
    const Vec2 face = map_({0, 0}), foot = map_({0, marks_.foot_z});
    const double x = plot_.across ? frame_.lo.x - 24 : face.x - 112;
    canvas_.line({x - 6, face.y}, map_({std::max(plot_.measures.round_width, 0.0), 0}),
                 {kMuted, 0.9, "2 4", 1});
    canvas_.line({x - 6, foot.y}, {foot.x - 4, foot.y}, {kMuted, 0.9, "", 1});
    canvas_.dimension({x, face.y}, {x, foot.y}, {kInk, 1.2, "", 1}, foot.y - face.y < 24);
    const double middle = face.y + 0.5 * (foot.y - face.y);
    dimension_text(canvas_, {x - 10, middle}, "foot at", *plot_.measures.foot_depth, Anchor::end, plot_.inch);
  }

  /// The angle at a corner of the section from one direction to another, px, with its arc.
  void angle_mark(Vec2 at, Vec2 from, Vec2 to, Color color) {
    constexpr double kReach = 74;
    canvas_.line(at, at + kReach * from, {color, 1.2, "5 3", 1});
    canvas_.line(at, at + kReach * to, {color, 1.2, "5 3", 1});
    Path arc;
    arc.move(at + kAngleRadius * from).arc(at + kAngleRadius * to, kAngleRadius, cross(from, to) > 0, false);
    canvas_.path(arc, no_fill(), {color, 1.4, "", 1});
  }

  bool arris() const { return leaves_arris(own_face_break(plot_.wanted)); }

  void breaks() {
    const SectionMeasures& m = plot_.measures;
    constexpr double kLeast = 0.5 * std::numbers::pi / 180;
    TextStyle style = label_style(true);
    const auto color_of = [](double angle, double limit) { return angle > limit + 1e-6 ? kOrange : kInk; };
    if (m.face_break && *m.face_break > kLeast && m.lip.value_or(0) <= 0) {
      const Vec2 at = map_({marks_.face_u, marks_.face_z});
      style.color = color_of(*m.face_break, face_limit_);
      const Vec2 down{-std::cos(*m.face_break), std::sin(*m.face_break)};
      angle_mark(at, {arris() ? 1.0 : -1.0, 0}, down, style.color);
      style.anchor = Anchor::middle;
      const double side = arris() ? 1 : -1;
      canvas_.line(at + Vec2{side * (kAngleRadius - 3), 1}, at + Vec2{side * (kAngleRadius - 6), -18},
                   {style.color, 1, "", 1});
      canvas_.text(at + Vec2{side * (kAngleRadius - 6), -23},
                   arris() ? "arris " + angle_text(std::numbers::pi - *m.face_break)
                           : "face break " + angle_text(*m.face_break),
                   style);
    }
    if (m.wall_break && *m.wall_break > kLeast) {
      const Vec2 at = map_({m.band.value_or(0), marks_.foot_z});
      style.color = color_of(*m.wall_break, wall_limit_);
      angle_mark(at, {0, -1}, {std::sin(*m.wall_break), -std::cos(*m.wall_break)}, style.color);
      const Vec2 end = at + Vec2{-12, -kAngleRadius - 8};
      const Vec2 middle = at + kAngleRadius * unit(-std::numbers::pi / 2 + *m.wall_break / 2);
      canvas_.line(middle, end, {style.color, 1, "", 1});
      style.anchor = Anchor::end;
      canvas_.text(end + Vec2{-3, 2}, "wall break", style);
      canvas_.text(end + Vec2{-3, 18}, angle_text(*m.wall_break), style);
    }
  }

  /// Dimensions in place when they are large enough, else in a magnified inset.
  void lip_and_band(const Painter& painter) {
    const SectionMeasures& m = plot_.measures;
    const double lip = m.lip.value_or(0), band = m.band.value_or(0);
    // What is far below its wish is not blown up to look like a fault.
    const auto seen = [](double value, double wish) { return value > std::max(5e-4, 0.1 * wish); };
    if (seen(lip, plot_.wishes ? plot_.wishes->lip : 0)) {
      if (lip * map_.scale >= kSmall) {
        dimension_lip(canvas_, map_, marks_, lip);
      } else {
        const Map map =
            inset(painter, {{838, 120}, {1164, 330}}, {marks_.face_u, marks_.face_z - lip / 2}, lip, 0.62);
        dimension_lip(canvas_, map, marks_, lip);
        inset_open_ = true;
      }
    }
    if (seen(band, plot_.wishes ? plot_.wishes->band : 0) && m.foot_depth) {
      if (band * map_.scale >= 60) {
        dimension_band(canvas_, map_, marks_, band);
      } else {
        const double top = std::clamp(map_({0, marks_.foot_z}).y + 36, 470.0, 560.0);
        const Map map = inset(painter, {{40, top}, {270, top + 220}}, {band / 2, marks_.foot_z}, band, 0.5);
        dimension_band(canvas_, map, marks_, band);
      }
    }
  }

  /// A frame with the place drawn so that `size` mm take about 64 px; the place is marked on the plot.
  Map inset(const Painter& painter, const PixelBox& frame, Vec2 at, double size, double across) {
    double times = 1;
    for (int i = 0; (times < 2 || size * map_.scale * times < 48) && i < 40; ++i)
      times *= i % 3 == 1 ? 2.5 : 2;
    Map map;
    map.scale = map_.scale * times;
    map.origin = {frame.lo.x + across * frame.width() - map.scale * at.x,
                  frame.lo.y + 0.5 * frame.height() - 12 + map.scale * at.y};
    const auto back = [&](Vec2 p) {
      return map_({(p.x - map.origin.x) / map.scale, (map.origin.y - p.y) / map.scale});
    };
    PixelBox spot{back(frame.lo), back(frame.hi)};
    if (spot.width() < 10) spot = spot.grown((10 - spot.width()) / 2);
    canvas_.rectangle(spot, no_fill(), {kInk, 1.2, "", 1});
    const Vec2 end = frame.lo.x > spot.hi.x ? Vec2{frame.lo.x, frame.lo.y + 20} : leader_end(frame, spot.lo);
    canvas_.line(leader_end(spot, end), end, {kInk, 1.2, "", 1});
    canvas_.begin_group("inset");
    canvas_.rectangle(frame, {kPaper, "", 1, false}, no_stroke());
    painter.paint(map, frame, 3);
    canvas_.rectangle(frame, no_fill(), {kInk, 1.4, "", 1});
    canvas_.end();
    TextStyle style = label_style();
    style.size = 12;
    style.anchor = Anchor::end;
    canvas_.text({frame.hi.x - 8, frame.hi.y - 8}, fmt::format("{} times larger", plain(times)), style);
    return map;
  }

  void table() {
    const SectionMeasures& m = plot_.measures;
    const double x = 838;
    double y = inset_open_ ? 368 : 128;
    const bool limits = plot_.wishes.has_value();
    TextStyle head;
    head.color = kMuted;
    head.size = 12;
    head.anchor = Anchor::end;
    const AxisUnits units = axis_units(plot_.inch);
    // Inches have one figure more, the wish too.
    const double own_x = x + (plot_.inch ? 184 : 190), other_x = x + (plot_.inch ? 246 : 258);
    canvas_.text({own_x, y}, units.own.name, head);
    canvas_.text({other_x, y}, units.other.name, head);
    if (limits) canvas_.text({x + 326, y}, fmt::format("wish, {}", units.own.name), head);
    canvas_.line({x, y + 7}, {x + 326, y + 7}, {kRule, 1, "", 1});
    y += 25;
    const auto row = [&](const std::string& name, const std::string& a, const std::string& b,
                         const std::string& limit, bool beyond) {
      TextStyle style;
      style.bold = beyond;
      style.color = beyond ? kOrange : kInk;
      if (beyond)
        canvas_.polygon({{x + 1, y}, {x + 11, y}, {x + 6, y - 9}}, {kOrange, "", 1, false}, no_stroke());
      canvas_.text({x + 17, y}, name, style);
      style.anchor = Anchor::end;
      canvas_.text({own_x, y}, a, style);
      canvas_.text({other_x, y}, b, style);
      style.bold = false;
      style.color = kMuted;
      if (!limit.empty()) canvas_.text({x + 326, y}, limit, style);
      y += 21;
    };
    const auto length = [&](const std::string& name, double mm, std::optional<double> limit) {
      std::string a = fmt::format("{:.3f}", mm), b = fmt::format("{:.4f}", mm / 25.4);
      if (plot_.inch) std::swap(a, b);
      const std::string wished = !limit       ? ""
                                 : plot_.inch ? fmt::format("\u2264 {:.4f}", *limit / 25.4)
                                              : fmt::format("\u2264 {}", plain(*limit));
      row(name, a, b, wished, limit && mm > *limit + 5e-5);
    };
    const auto angle = [&](const std::string& name, double radians, std::optional<double> limit) {
      row(name, angle_text(radians), "",
          limit ? "\u2264 " + plain(std::round(*limit * 1800 / std::numbers::pi) / 10) + "\u00b0" : "",
          limit && radians > *limit + 1e-6);
    };
    const auto wish = [&](double Wishes::*field) {
      return limits ? std::optional<double>((*plot_.wishes).*field) : std::nullopt;
    };
    if (m.lip) length("lip", *m.lip, wish(&Wishes::lip));
    if (m.band) length("flat band", *m.band, wish(&Wishes::band));
    if (m.face_break && arris())
      row("arris", angle_text(std::numbers::pi - *m.face_break), "",
          limits ? fmt::format("\u2265 {:.0f}\u00b0", 180 - face_limit_ * 180 / std::numbers::pi) : "",
          *m.face_break > face_limit_ + 1e-6 && limits);
    else if (m.face_break)
      angle("face break", *m.face_break, limits ? std::optional(face_limit_) : std::nullopt);
    if (m.wall_break) angle("wall break", *m.wall_break, limits ? std::optional(wall_limit_) : std::nullopt);
    if (m.foot_depth) length("foot depth", *m.foot_depth, {});
    if (m.other) {
      if (m.other->lip) length("lip below", *m.other->lip, wish(&Wishes::lip));
      if (m.other->face_break)
        angle("break below", *m.other->face_break, limits ? std::optional(face_limit_) : std::nullopt);
      if (m.other->foot_depth) length("foot, from below", *m.other->foot_depth, {});
    }
    if (m.mismatch && *m.mismatch > 5e-4) length("halves differ", *m.mismatch, {});
    if (m.wall_left && *m.wall_left > 5e-4) length("wall left", *m.wall_left, {});
    if (m.thinnest && *m.thinnest < plot_.stock.thickness() - 5e-4)
      length("least thickness", *m.thinnest, {});
    length("moulded curve", m.curve_length, {});
    std::vector<double> shown(kinds_.kinds.size(), 0.0);
    for (std::size_t i = 0; i < m.exposure.size() && i < kinds_.of.size(); ++i)
      shown[kinds_.of[i]] += m.exposure[i];
    const int most_rows = m.other ? 2 : 5;
    int rows = 0;
    double others = 0;
    for (std::size_t i = 0; i < shown.size(); ++i) {
      if (shown[i] <= 5e-4) continue;
      if (rows == 0) {
        head.anchor = Anchor::start;
        canvas_.text({x + 17, y + 2}, "of which show", head);
        y += 21;
      }
      if (rows++ < most_rows) {
        length(fitted(kinds_.kinds[i].layer->name, 118, kTextSize), shown[i], {});
      } else {
        others += shown[i];
      }
    }
    if (others > 0) length("other layers", others, {});
    table_end_ = y;
  }

  void legend() {
    const double x = 838;
    double y = table_end_ + 26;
    const auto key = [&](const std::string& pattern, const std::string& name) {
      canvas_.rectangle({{x, y - 13}, {x + 34, y + 3}}, {std::nullopt, pattern, 1, false},
                        {kInk, 0.8, "", 1});
      canvas_.text({x + 44, y}, fitted(name, 285, kTextSize), {});
      y += 24;
    };
    const auto stroke = [&](const Stroke& s, const std::string& name) {
      canvas_.line({x, y - 5}, {x + 34, y - 5}, s);
      canvas_.text({x + 44, y}, name, {});
      y += 24;
    };
    stroke({kInk, 2.6, "", 1}, "as cut");
    stroke({kBlue, 2.1, "9 5", 1}, "wanted");
    const auto area = [&](double mm2) {
      return plot_.inch ? fmt::format("{:.5f} in\u00b2", mm2 / (25.4 * 25.4))
                        : fmt::format("{:.3f} mm\u00b2", mm2);
    };
    if (plot_.measures.gouge > 5e-5)
      key(patterns_.gouge, fmt::format("gouge, {}: cut away too deep", area(plot_.measures.gouge)));
    if (plot_.measures.excess > 5e-5)
      key(patterns_.excess, fmt::format("excess, {}: can be sanded off", area(plot_.measures.excess)));
    for (std::size_t i = 0; i < kinds_.kinds.size(); ++i) {
      const LayerKind& kind = kinds_.kinds[i];
      if (y > kHeight - 50 && i + 1 < kinds_.kinds.size()) {
        canvas_.text({x + 44, y}, fmt::format("and {} more layers", kinds_.kinds.size() - i), {});
        break;
      }
      const std::string times = kind.count > 1 ? fmt::format("{} \u00d7 ", kind.count) : "";
      key(kind_patterns_[i], fmt::format("{}, {}{}", fitted(kind.layer->name, 110, kTextSize), times,
                                         length_text(kind.layer->thickness)));
    }
  }

  const SectionPlot& plot_;
  Canvas canvas_;
  Marks marks_;
  LayerKinds kinds_;
  std::vector<std::string> kind_patterns_;
  Patterns patterns_;
  Map map_;
  PixelBox frame_;
  bool whole_sheet_ = true, inset_open_ = false;
  double table_end_ = 0;
  double face_limit_ = 1e9, wall_limit_ = 1e9;  // largest breaks allowed, radians
};

}  // namespace

std::string draw_section(const SectionPlot& plot) { return SectionSheet(plot).draw(); }

}  // namespace ovolo::render
