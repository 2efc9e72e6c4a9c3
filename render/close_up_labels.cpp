#include "render/close_up_labels.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "render/canvas.hpp"
#include "render/labels.hpp"
#include "render/layer_look.hpp"
#include "render/raster.hpp"

namespace ovolo::render {

namespace {

class LabelSheet {
 public:
  explicit LabelSheet(const CloseUp& picture)
      : picture_(picture),
        view_(picture.view),
        camera_(close_up_camera(view_)),
        canvas_(view_.width, view_.height, std::nullopt),
        size_(picture.letters.size > 0 ? picture.letters.size / 26 : view_.width / 1600.0),
        text_(26 * size_),
        placer_({{14 * size_, 14 * size_}, {view_.width - 14 * size_, view_.height - 14 * size_}}) {}

  std::string draw() {
    heading();
    bar();
    layers();
    if (picture_.measures != nullptr) dimensions(*picture_.measures);
    return canvas_.svg();
  }

 private:
  /// A place of the cut face (u, z) on the picture.
  Vec2 on_cut(double u, double z) const { return camera_.project({u, 0, z}); }

  void rule(Vec2 a, Vec2 b, double width, const std::string& dash = "") {
    canvas_.line(a, b, {kPaper, width + 2.4 * size_, "", 0.75});
    canvas_.line(a, b, {kInk, width, dash, 1});
  }

  void boxed(const PixelBox& box, const std::string& text, double size, bool bold) {
    canvas_.rectangle(box, {kPaper, "", 0.9, false}, {kInk, 1 * size_, "", 0.6}, 4 * size_);
    TextStyle style;
    style.size = size;
    style.bold = bold;
    canvas_.text({box.lo.x + 8 * size_, box.hi.y - 0.24 * size - 6 * size_}, text, style);
  }

  Vec2 box_size(const std::string& text, double size, bool bold) const {
    return {text_width(text, size, bold) + 16 * size_, size + 12 * size_};
  }

  /// A boxed text near `anchor` with a leader to it, where there is room.
  void note(Vec2 anchor, const std::string& text, bool bold, double gap, double toward = 0) {
    const Vec2 size = box_size(text, text_, bold);
    const auto room = placer_.place(anchor, size, gap * size_, 700 * size_, toward);
    if (!room) return;
    rule(anchor, leader_end(*room, anchor), 1.6 * size_);
    boxed(*room, text, text_, bold);
  }

  using Units = CloseUpLetters::Units;

  /// A length by `in_mm` and `in_inch`, "1.38 mm (0.0543 in)", or one of them.
  std::string in_units(const std::string& in_mm, const std::string& in_inch) const {
    const Units units = picture_.letters.units;
    return units == Units::mm                ? in_mm
           : units == Units::inch            ? in_inch
           : units == Units::both_inch_first ? fmt::format("{} ({})", in_inch, in_mm)
                                             : fmt::format("{} ({})", in_mm, in_inch);
  }
  std::string measured(double mm) const { return in_units(mm_text(mm), inch_text(mm)); }
  std::string short_length(double mm) const {
    return in_units(plain(std::round(mm * 1e4) / 1e4) + " mm", fmt::format("{:.3g} in", mm / 25.4));
  }
  bool inch_first() const {
    const Units units = picture_.letters.units;
    return units == Units::both_inch_first || units == Units::inch;
  }

  /// A box that nothing else is put over.
  void settle(const PixelBox& box, double margin) {
    placer_.keep_clear(box.grown(margin));
    settled_.push_back(box.grown(margin));
  }
  bool covers_settled(const PixelBox& box) const {
    return std::any_of(settled_.begin(), settled_.end(), [&](const PixelBox& s) {
      return box.lo.x < s.hi.x && s.lo.x < box.hi.x && box.lo.y < s.hi.y && s.lo.y < box.hi.y;
    });
  }

  void heading() {
    double y = 18 * size_;
    const auto line = [&](const std::string& text, double size, bool bold) {
      const std::string shown = fitted(text, view_.width - 60 * size_, size, bold);
      const Vec2 extent = box_size(shown, size, bold);
      const PixelBox box{{18 * size_, y}, {18 * size_ + extent.x, y + extent.y}};
      boxed(box, shown, size, bold);
      settle(box, 4 * size_);
      y = box.hi.y + 6 * size_;
    };
    if (!picture_.title.empty()) line(picture_.title, 30 * size_, true);
    const Vec2 p = view_.point, inch = p / 25.4;
    const std::string in_inch = picture_.letters.units == Units::both
                                    ? fmt::format("{:.2f}, {:.2f} in", inch.x, inch.y)
                                    : fmt::format("x {:.2f}, y {:.2f} in", inch.x, inch.y),
                      in_mm = picture_.letters.units == Units::both_inch_first
                                  ? fmt::format("{:.1f}, {:.1f} mm", p.x, p.y)
                                  : fmt::format("x {:.1f}, y {:.1f} mm", p.x, p.y);
    line(fmt::format("cut across at {}{}", in_units(in_mm, in_inch), view_.turned ? "; lower face up" : ""),
         22 * size_, false);
  }

  /// A scale bar that lies in the cut face, low on it.
  void bar() {
    const double length = bar_length(0.26 * view_.field_width, inch_first());
    const double thick = 0.006 * view_.field_width;
    const double u0 = std::max(view_.target.x, 0.06 * view_.field_width);
    double z = view_.target.y;
    const double limit = view_.height - 70 * size_;
    while (z > -picture_.stock.thickness() + 4 * thick && on_cut(u0, z - 2 * thick).y < limit) z -= thick;
    Box2 around;
    for (int i = 0; i < 4; ++i) {
      const double a = u0 + length * i / 4, b = u0 + length * (i + 1) / 4;
      canvas_.polygon({on_cut(a, z), on_cut(b, z), on_cut(b, z + thick), on_cut(a, z + thick)},
                      {i % 2 == 0 ? kInk : kPaper, "", 1, false}, {kInk, 1.2 * size_, "", 1});
      for (const double at : {a, b}) around.add(on_cut(at, z));
    }
    const std::string text = short_length(length) + " in the cut";
    const Vec2 extent = box_size(text, 22 * size_, false);
    Vec2 corner = on_cut(u0 + length, z) + Vec2{14 * size_, -extent.y / 2};
    corner.x = std::min(corner.x, view_.width - 14 * size_ - extent.x);
    const PixelBox box{corner, corner + extent};
    boxed(box, text, 22 * size_, false);
    settle(box, 6 * size_);
    placer_.keep_clear(PixelBox{around.lo, around.hi}.grown(10 * size_));
  }

  /// Layer names along the right border, on the cut face; alike layers are named once.
  void layers() {
    double u = 0;
    while (u < 3 * view_.field_width && on_cut(u, 0).x < view_.width - 26 * size_)
      u += 0.01 * view_.field_width;
    double z = 0, free_from = 0;
    const LayerKinds kinds = layer_kinds(picture_.stock);
    std::vector<bool> named(kinds.kinds.size(), false);
    for (std::size_t i = 0; i < picture_.stock.layers.size(); ++i) {
      const Layer& layer = picture_.stock.layers[i];
      const double top = on_cut(u, z).y;
      z -= layer.thickness;
      const double low = std::min(on_cut(u, z).y, static_cast<double>(view_.height));
      if (low - top < 24 * size_ || top > view_.height - 24 * size_ || low < 30 * size_ || named[kinds.of[i]])
        continue;
      const std::string text = fitted(fmt::format("{}, {}", layer.name, short_length(layer.thickness)),
                                      std::min(380 * size_, 0.6 * view_.width), 22 * size_);
      const Vec2 extent = box_size(text, 22 * size_, false);
      const double middle = (std::max(top, 0.0) + low) / 2;
      Vec2 corner{view_.width - 20 * size_ - extent.x,
                  std::clamp(middle, 40 * size_, view_.height - 40 * size_) - extent.y / 2};
      while (covers_settled({corner, corner + extent}) && corner.y + extent.y / 2 < low)
        corner.y += 4 * size_;
      const PixelBox box{corner, corner + extent};
      if (box.lo.y < free_from || covers_settled(box) || box.hi.y > view_.height - 8 * size_) continue;
      named[kinds.of[i]] = true;
      free_from = box.hi.y + 4 * size_;
      boxed(box, text, 22 * size_, false);
      placer_.keep_clear(box.grown(6 * size_));
    }
  }

  /// Arrows on both sides of what is measured, turned inwards from outside when it is small.
  void dimension(Vec2 a, Vec2 b) {
    const Stroke stroke{kInk, 2 * size_, "", 1};
    const double halo = 1.4 * size_;
    placer_.keep_clear(a, b);
    if (distance(a, b) >= 40 * size_) {
      canvas_.arrow(a, b, stroke, true, true, halo);
      return;
    }
    const Vec2 along = normalized(b - a);
    for (const auto& [tip, tail] :
         {std::pair{a, a - 38 * size_ * along}, std::pair{b, b + 38 * size_ * along}}) {
      canvas_.arrow(tail, tip, stroke, false, true, halo);
      placer_.keep_clear(tip, tail);
    }
  }

  void dimensions(const SectionMeasures& m) {
    const double f = view_.field_width;
    const double foot = m.foot_depth.value_or(0), lip_height = m.lip.value_or(0),
                 band_width = m.band.value_or(0);
    // All lines first, so that the notes keep clear of them.
    const double lip_u = m.round_width + 0.045 * f, foot_u = m.round_width + 0.17 * f,
                 band_z = -foot - 0.04 * f;
    const bool lip = lip_height > 5e-4, band = band_width > 5e-4 && m.foot_depth;
    if (lip) {
      rule(on_cut(m.round_width, -lip_height), on_cut(lip_u + 0.012 * f, -lip_height), 1.4 * size_);
      dimension(on_cut(lip_u, 0), on_cut(lip_u, -lip_height));
    }
    if (band) {
      for (const double u : {0.0, band_width})
        rule(on_cut(u, -foot), on_cut(u, band_z - 0.012 * f), 1.4 * size_);
      dimension(on_cut(0, band_z), on_cut(band_width, band_z));
    }
    if (foot > 0) {
      const Vec2 from = on_cut(std::max(band_width, 0.01 * f), -foot), top = on_cut(foot_u, 0),
                 low = on_cut(foot_u, -foot);
      rule(from, on_cut(foot_u + 0.012 * f, -foot), 1.2 * size_, "7 6");
      dimension(top, low);
      placer_.keep_clear(from, low);
    }
    // What is looked at stays in sight too.
    const auto keep_edge_clear = [&](double u, double z) {
      placer_.keep_clear(on_cut(u, z), camera_.project({u, 0.7 * f, z}));
    };
    if (lip) keep_edge_clear(m.round_width, -0.5 * lip_height);
    if (foot > 0) keep_edge_clear(0.5 * band_width, -foot);
    if (lip) note(on_cut(lip_u, -0.5 * lip_height), "lip " + measured(lip_height), true, 46, 1.9);
    if (band) note(on_cut(band_width / 2, band_z), "flat band " + measured(band_width), true, 60, -0.3);
    if (foot > 0) note(on_cut(foot_u, -0.62 * foot), "foot at " + measured(foot), false, 26);
    constexpr double kLeast = 0.5 * std::numbers::pi / 180;
    if (m.face_break && *m.face_break > kLeast && lip_height <= 5e-4) {
      note(camera_.project({m.round_width, 0.06 * f, 0}),
           picture_.arris ? "arris " + angle_text(std::numbers::pi - *m.face_break)
                          : "face break " + angle_text(*m.face_break),
           false, 60, 2.2);
    }
    if (m.wall_break && *m.wall_break > kLeast && m.foot_depth) {
      note(camera_.project({band_width, 0.06 * f, -foot}), "wall break " + angle_text(*m.wall_break), false,
           60, std::numbers::pi + 0.4);
    }
  }

  const CloseUp& picture_;
  const CloseUpView& view_;
  Camera camera_;
  Canvas canvas_;
  double size_, text_;
  LabelPlacer placer_;
  std::vector<PixelBox> settled_;
};

}  // namespace

std::string close_up_drawing(const CloseUp& picture) { return LabelSheet(picture).draw(); }

Image close_up_labels(const CloseUp& picture) { return rasterize(close_up_drawing(picture)); }

}  // namespace ovolo::render
