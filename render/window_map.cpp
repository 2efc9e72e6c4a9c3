#include "render/window_map.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "render/axis.hpp"
#include "render/labels.hpp"

namespace ovolo::render {
namespace {

constexpr double kWidth = 1200, kHeight = 900;
constexpr PixelBox kFrame{{120, 132}, {800, 800}};
constexpr double kSide = 884;  // left edge of the notes
constexpr double kDegrees = 180 / std::numbers::pi;
constexpr Color kPurple{140, 70, 130};  // reddish purple and bluish green, darkened from Okabe and Ito's
constexpr Color kGreen{0, 110, 84};

std::string percent(double chance) {
  if (chance > 0.9995) return "over 99.9 %";
  return chance < 0.0005 ? "under 0.1 %" : fmt::format("{:.1f} %", 100 * chance);
}

class Sheet {
 public:
  explicit Sheet(const WindowMap& plot) : plot_(plot), map_(plot.map), canvas_(kWidth, kHeight, kPaper) {
    lip_ = canvas_.hatch(kOrange, 1.3, 9, Hatch::falling);
    face_ = canvas_.hatch(kBlue, 1.3, 9, Hatch::rising);
    band_ = canvas_.dots(kPurple, 1.5, 8);
    wall_ = canvas_.dashes(kGreen, 1.4, 8, 6);
    hidden_ = canvas_.cross_hatch(kMuted, 0.9, 8);
  }

  std::string draw() {
    heading();
    canvas_.begin_clip(Path().rectangle(kFrame.lo, kFrame.hi));
    regions();
    good();
    for (const auto& contour : map_.contours)
      for (const auto& line : contour.lines)
        canvas_.polyline(pixels(line), {kInk, contour.chance > 0.95 ? 1.6 : 1.0, "", 0.8});
    canvas_.end();
    ellipses();
    region_labels();
    contour_labels();
    marks();
    canvas_.rectangle(kFrame, no_fill(), {kInk, 1.2, "", 1});
    axes();
    notes();
    return canvas_.svg();
  }

 private:
  Vec2 pixel(Vec2 p) const {
    return {kFrame.lo.x + kFrame.width() * (p.x - map_.offset_lo) / (map_.offset_hi - map_.offset_lo),
            kFrame.lo.y + kFrame.height() * (p.y - map_.depth_lo) / (map_.depth_hi - map_.depth_lo)};
  }
  double x_of(double offset) const { return pixel({offset, map_.depth_lo}).x; }
  double y_of(double depth) const { return pixel({map_.offset_lo, depth}).y; }
  std::vector<Vec2> pixels(const std::vector<Vec2>& line) const {
    std::vector<Vec2> out;
    for (const Vec2 p : line) out.push_back(pixel(p));
    return out;
  }

  void heading() {
    TextStyle style;
    style.size = 20;
    style.bold = true;
    canvas_.text({40, 44}, fitted("Room for error: " + plot_.title, kWidth - 80, style.size, true), style);
    style = {};
    style.size = 14;
    style.color = kMuted;
    canvas_.text(
        {40, 68},
        fitted(fmt::format(
                   "Depth and offset of the bit \u201c{}\u201d along a straight edge; blank is within every "
                   "wish, each pattern breaks one",
                   plot_.bit),
               kWidth - 80, style.size),
        style);
  }

  // Stretches of one axis that are in none of the spans.
  static std::vector<std::pair<double, double>> outside(const std::vector<Span>& spans, double lo,
                                                        double hi) {
    std::vector<std::pair<double, double>> out;
    double from = lo;
    for (const Span& s : spans) {
      if (s.lo > from) out.emplace_back(from, std::min(s.lo, hi));
      from = std::max(from, s.hi);
    }
    if (from < hi) out.emplace_back(from, hi);
    return out;
  }

  void strips(const std::vector<Span>& spans, bool by_depth, const std::string& pattern, Color edge) {
    const double lo = by_depth ? map_.depth_lo : map_.offset_lo,
                 hi = by_depth ? map_.depth_hi : map_.offset_hi;
    for (const auto& [a, b] : outside(spans, lo, hi)) {
      if (b <= lo || a >= hi || b - a < 1e-9) continue;
      PixelBox box = kFrame;
      if (by_depth) {
        box.lo.y = y_of(a);
        box.hi.y = y_of(b);
      } else {
        box.lo.x = x_of(a);
        box.hi.x = x_of(b);
      }
      canvas_.rectangle(box, {std::nullopt, pattern, 0.6, false}, no_stroke());
      for (const double at : {a, b}) {
        if (at <= lo + 1e-9 || at >= hi - 1e-9) continue;
        if (by_depth)
          canvas_.line({kFrame.lo.x, y_of(at)}, {kFrame.hi.x, y_of(at)}, {edge, 2, "", 1});
        else
          canvas_.line({x_of(at), kFrame.lo.y}, {x_of(at), kFrame.hi.y}, {edge, 2, "", 1});
      }
    }
  }

  void regions() {
    strips(map_.lip, true, lip_, kOrange);
    strips(map_.face_break, true, face_, kBlue);
    strips(map_.band, false, band_, kPurple);
    strips(map_.wall_break, false, wall_, kGreen);
    if (!map_.hidden.empty()) {
      std::vector<Vec2> area = pixels(map_.hidden);
      area.push_back({area.back().x, kFrame.hi.y + 1});
      area.push_back({area.front().x, kFrame.hi.y + 1});
      canvas_.polygon(area, {std::nullopt, hidden_, 0.6, false}, no_stroke());
      canvas_.polyline(pixels(map_.hidden), {kMuted, 2, "", 1});
    }
  }

  // A quiet tint over what is within every wish, so that it stands out in black and white too.
  void good() {
    const auto depths = intersect(map_.lip, map_.face_break), offsets = intersect(map_.band, map_.wall_break);
    for (const Span& d : depths)
      for (const Span& o : offsets) {
        std::vector<Vec2> area;
        constexpr int kSteps = 100;
        for (int i = 0; i <= kSteps; ++i) {
          const double at = o.lo + (o.hi - o.lo) * i / kSteps;
          area.push_back({at, std::clamp(hidden_at(at), d.lo, d.hi)});
        }
        for (int i = kSteps; i >= 0; --i) {
          const double at = o.lo + (o.hi - o.lo) * i / kSteps;
          area.push_back({at, std::min(d.lo, std::clamp(hidden_at(at), d.lo, d.hi))});
        }
        canvas_.polygon(pixels(area), {Color{232, 240, 228}, "", 0.9, false}, {kInk, 2, "", 1});
      }
  }

  double hidden_at(double offset) const {
    if (map_.hidden.empty()) return 1e9;
    for (std::size_t i = 0; i + 1 < map_.hidden.size(); ++i) {
      const Vec2 a = map_.hidden[i], b = map_.hidden[i + 1];
      if (offset <= b.x) return a.y + (b.y - a.y) * std::clamp((offset - a.x) / (b.x - a.x), 0.0, 1.0);
    }
    return map_.hidden.back().y;
  }

  void ellipses() {
    canvas_.begin_clip(Path().rectangle(kFrame.lo, kFrame.hi));
    for (const double k : {2.0, 1.0}) {
      std::vector<Vec2> ring;
      constexpr int kSteps = 96;
      for (int i = 0; i <= kSteps; ++i) {
        const double a = 2 * std::numbers::pi * i / kSteps;
        ring.push_back(pixel({plot_.dialed.offset + k * plot_.dialed.offset_sigma * std::cos(a),
                              plot_.dialed.depth + k * plot_.dialed.depth_sigma * std::sin(a)}));
      }
      canvas_.polyline(ring, {kInk, 1.8, k > 1 ? "6 4" : "", 1});
    }
    canvas_.end();
  }

  /// In the own unit alone: there is little room in a region.
  std::string limit_text(double mm) const { return plot_.inch ? inch_text(mm) : plain(mm) + " mm"; }
  std::string limit_in_both(double mm) const {
    return fmt::format("{} ({})", limit_text(mm), plot_.inch ? plain(mm) + " mm" : inch_text(mm));
  }
  std::string lip_text() const { return "lip above " + limit_text(map_.wishes.lip); }
  std::string band_text() const { return "flat band above " + limit_text(map_.wishes.band); }
  std::string break_text(const char* name, double limit, double own) const {
    // What the form has of its own is no fault: the limit is beyond it.
    return fmt::format("{} above {}\u00b0", name, plain(std::round((limit + own) * kDegrees * 100) / 100));
  }
  std::string hidden_text() const { return fmt::format("\u201c{}\u201d shows", map_.hidden_layer); }

  // The largest strip of one kind, labelled along its middle.
  void strip_label(const std::vector<Span>& spans, bool by_depth, const std::string& text, Color color) {
    const double lo = by_depth ? map_.depth_lo : map_.offset_lo,
                 hi = by_depth ? map_.depth_hi : map_.offset_hi;
    double from = 0, to = 0;
    for (const auto& [a, b] : outside(spans, lo, hi)) {
      const double c = std::max(a, lo), d = std::min(b, hi);
      if (d - c > to - from) {
        from = c;
        to = d;
      }
    }
    TextStyle style;
    style.size = 14;
    style.bold = true;
    style.color = color;
    style.halo = true;
    style.anchor = Anchor::middle;
    const Vec2 size{text_box({0, 0}, text, style).width(), 18};
    if (by_depth) {
      if (y_of(to) - y_of(from) < size.y + 6) return;
      const double y = (y_of(from) + y_of(to)) / 2 + 5;
      const double x =
          std::clamp(x_of(plot_.dialed.offset), kFrame.lo.x + size.x / 2 + 8, kFrame.hi.x - size.x / 2 - 8);
      canvas_.text({x, y}, text, style);
      taken_.push_back({{x - size.x / 2, y - 14}, {x + size.x / 2, y + 5}});
      return;
    }
    if (x_of(to) - x_of(from) < size.y + 6) return;
    const double x = (x_of(from) + x_of(to)) / 2;
    const double y =
        std::clamp(y_of(plot_.dialed.depth), kFrame.lo.y + size.x / 2 + 8, kFrame.hi.y - size.x / 2 - 8);
    const bool left = x < x_of(plot_.dialed.offset);
    style.turn = left ? -90 : 90;
    canvas_.text({x + (left ? 5 : -5), y}, text, style);
    taken_.push_back({{x - 12, y - size.x / 2}, {x + 12, y + size.x / 2}});
  }

  void region_labels() {
    strip_label(map_.lip, true, lip_text(), kOrange);
    strip_label(map_.face_break, true, break_text("face break", map_.wishes.face_break, map_.own_face_break),
                kBlue);
    strip_label(map_.band, false, band_text(), kPurple);
    strip_label(map_.wall_break, false, break_text("wall break", map_.wishes.wall_break, map_.own_wall_break),
                kGreen);
    if (map_.hidden.empty()) return;
    TextStyle style;
    style.size = 14;
    style.bold = true;
    style.color = kMuted;
    style.halo = true;
    const PixelBox extent = text_box({0, 0}, hidden_text(), style);
    // Left, where most of the layer shows: just below its line.
    for (double f = 0.04; f < 0.9; f += 0.03) {
      const double x = kFrame.lo.x + f * kFrame.width();
      const double o = map_.offset_lo + f * (map_.offset_hi - map_.offset_lo);
      const double end = o + extent.width() * (map_.offset_hi - map_.offset_lo) / kFrame.width();
      const double y = y_of(hidden_at(end)) + 24;
      const PixelBox box{{x, y - 15}, {x + extent.width(), y + 5}};
      if (!box.inside(kFrame.grown(-4))) continue;
      if (std::any_of(taken_.begin(), taken_.end(),
                      [&](const PixelBox& t) { return t.grown(4).overlaps(box); }))
        continue;
      canvas_.text({x, y}, hidden_text(), style);
      taken_.push_back(box);
      return;
    }
  }

  void contour_labels() {
    TextStyle style;
    style.size = 12;
    style.halo = true;
    style.anchor = Anchor::middle;
    const Vec2 at = pixel({plot_.dialed.offset, plot_.dialed.depth});
    taken_.push_back({at - Vec2{46, 20}, at + Vec2{46, 20}});
    for (const auto& contour : map_.contours) {
      const std::string text = fmt::format("{:.0f} %", 100 * contour.chance);
      bool done = false;
      for (const auto& line : contour.lines) {
        // Where it runs up to the right of the chosen setting, or anywhere that is free.
        for (std::size_t i = line.size() / 8; i < line.size() && !done;
             i += std::max<std::size_t>(1, line.size() / 24)) {
          const Vec2 p = pixel(line[i]);
          const PixelBox box{{p.x - 20, p.y - 8}, {p.x + 20, p.y + 8}};
          if (!box.inside(kFrame)) continue;
          if (std::any_of(taken_.begin(), taken_.end(), [&](const PixelBox& t) { return t.overlaps(box); }))
            continue;
          canvas_.text({p.x, p.y + 4}, text, style);
          taken_.push_back(box);
          done = true;
        }
        if (done) break;
      }
    }
  }

  bool now_shown() const {
    return map_.depth_now > map_.depth_lo && map_.depth_now < map_.depth_hi &&
           map_.offset_now > map_.offset_lo && map_.offset_now < map_.offset_hi;
  }

  void marks() {
    if (now_shown()) diamond(pixel({map_.offset_now, map_.depth_now}));
    const Vec2 at = pixel({plot_.dialed.offset, plot_.dialed.depth});
    canvas_.circle(at, 7, {kInk, "", 1, false}, {kPaper, 2.5, "", 1});
  }
  void diamond(Vec2 c) {
    canvas_.polygon({c + Vec2{0, -8}, c + Vec2{8, 0}, c + Vec2{0, 8}, c + Vec2{-8, 0}},
                    {kPaper, "", 1, false}, {kInk, 2.2, "", 1});
  }

  template <class Draw>
  static void each_tick(double lo, double hi, int wanted, const Draw& draw) {
    double step = round_below((hi - lo) / wanted);
    const int decimals = std::max(0, static_cast<int>(-std::floor(std::log10(step) + 1e-9)));
    for (double k = std::ceil(lo / step - 1e-9); k * step <= hi + 1e-12; ++k)
      draw(k * step, fmt::format("{:.{}f}", k * step + 0.0, decimals));
  }

  void axes() {
    TextStyle style;
    style.size = 12;
    style.anchor = Anchor::middle;
    const AxisUnits units = axis_units(plot_.inch);
    const double own = units.own.mm, other = units.other.mm;
    each_tick(map_.offset_lo / own, map_.offset_hi / own, 6, [&](double v, const std::string& text) {
      canvas_.line({x_of(v * own), kFrame.hi.y}, {x_of(v * own), kFrame.hi.y + 6}, {kInk, 1, "", 1});
      canvas_.text({x_of(v * own), kFrame.hi.y + 21}, text, style);
    });
    style.anchor = Anchor::end;
    each_tick(map_.depth_lo / own, map_.depth_hi / own, 8, [&](double v, const std::string& text) {
      canvas_.line({kFrame.lo.x - 6, y_of(v * own)}, {kFrame.lo.x, y_of(v * own)}, {kInk, 1, "", 1});
      canvas_.text({kFrame.lo.x - 10, y_of(v * own) + 4}, text, style);
    });
    style.color = kMuted;
    style.anchor = Anchor::middle;
    each_tick(map_.offset_lo / other, map_.offset_hi / other, 6, [&](double v, const std::string& text) {
      canvas_.line({x_of(v * other), kFrame.lo.y - 6}, {x_of(v * other), kFrame.lo.y}, {kMuted, 1, "", 1});
      canvas_.text({x_of(v * other), kFrame.lo.y - 10}, text, style);
    });
    style.anchor = Anchor::start;
    each_tick(map_.depth_lo / other, map_.depth_hi / other, 8, [&](double v, const std::string& text) {
      canvas_.line({kFrame.hi.x, y_of(v * other)}, {kFrame.hi.x + 6, y_of(v * other)}, {kMuted, 1, "", 1});
      canvas_.text({kFrame.hi.x + 10, y_of(v * other) + 4}, text, style);
    });
    style = {};
    style.size = 14;
    style.anchor = Anchor::middle;
    const double middle = (kFrame.lo.x + kFrame.hi.x) / 2;
    canvas_.text(
        {middle, kFrame.hi.y + 46},
        fmt::format("offset of the axis off the line, {} (to the right: away from the part)", units.own.name),
        style);
    style.color = kMuted;
    canvas_.text({middle, kFrame.lo.y - 30}, fmt::format("offset, {}", units.other.name), style);
    style.turn = -90;
    style.color = kInk;
    canvas_.text({kFrame.lo.x - 64, (kFrame.lo.y + kFrame.hi.y) / 2},
                 fmt::format("depth, {} (downwards: deeper)", units.own.name), style);
    style.turn = 90;
    style.color = kMuted;
    canvas_.text({kFrame.hi.x + 60, (kFrame.lo.y + kFrame.hi.y) / 2},
                 fmt::format("depth, {}", units.other.name), style);
  }

  void note(const std::string& text, bool bold = false, Color color = kInk, double size = 13.5) {
    TextStyle style;
    style.size = size;
    style.bold = bold;
    style.color = color;
    canvas_.text({kSide, note_y_}, fitted(text, kWidth - kSide - 24, size, bold), style);
    note_y_ += size + 8;
  }

  void room(const char* way, const DialSide& side) {
    const std::string breaks =
        side.room.breaks == Wish::limit ? "end of the range" : name_of(side.room.breaks);
    note(fmt::format("{} {}", length_text(side.room.distance), way));
    note_y_ -= 5;
    note("then " + breaks, false, kMuted, 12.5);
  }

  void notes() {
    const DialedEdge& d = plot_.dialed;
    note("Setting to use", true, kInk, 16);
    note("depth " + length_text(d.depth));
    note("offset " + length_text(d.offset));
    note(percent(1 - d.failure) + " within every wish", true);
    note_y_ += 12;
    if (d.conflicts.empty()) {
      note("Room before the first wish breaks", true);
      room("deeper", d.deeper);
      room("shallower", d.shallower);
      room("further out", d.outward);
      room("further in", d.inward);
    } else {
      note("No setting meets every wish", true, kOrange);
      for (const Conflict& c : d.conflicts) {
        note(c.wishes.size() == 1 ? "cannot be met:" : "cannot be met together:");
        for (const Wish w : c.wishes) note(std::string("\u2013 ") + name_of(w));
      }
    }
    note_y_ += 14;
    note("Key", true);
    const auto key = [&](const auto& draw, const std::string& text) {
      draw(Vec2{kSide + 18, note_y_ - 5});
      TextStyle style;
      canvas_.text({kSide + 46, note_y_}, fitted(text, kWidth - kSide - 70, 13), style);
      note_y_ += 26;
    };
    const auto swatch = [&](const std::string& pattern, Color edge) {
      return [this, pattern, edge](Vec2 c) {
        canvas_.rectangle({c - Vec2{16, 9}, c + Vec2{16, 9}}, {std::nullopt, pattern, 1, false},
                          {edge, 1.5, "", 1});
      };
    };
    key(swatch(lip_, kOrange), "lip above " + limit_in_both(map_.wishes.lip));
    key(swatch(face_, kBlue), break_text("face break", map_.wishes.face_break, map_.own_face_break));
    key(swatch(band_, kPurple), "flat band above " + limit_in_both(map_.wishes.band));
    key(swatch(wall_, kGreen), break_text("wall break", map_.wishes.wall_break, map_.own_wall_break));
    if (!map_.hidden.empty()) key(swatch(hidden_, kMuted), hidden_text());
    key([&](Vec2 c) { canvas_.circle(c, 7, {kInk, "", 1, false}, no_stroke()); }, "the setting to use");
    key([&](Vec2 c) { canvas_.circle(c, 9, no_fill(), {kInk, 1.8, "", 1}); }, "its errors: one deviation,");
    key([&](Vec2 c) { canvas_.circle(c, 9, no_fill(), {kInk, 1.8, "6 4", 1}); }, "two deviations");
    key(
        [&](Vec2 c) {
          canvas_.line(c - Vec2{16, 0}, c + Vec2{16, 0}, {kInk, 1.2, "", 1});
        },
        "so many edges within every wish");
    if (now_shown()) {
      key([&](Vec2 c) { diamond(c); },
          fmt::format("the scene\u2019s own setting: {}", percent(1 - d.failure_now)));
    } else {
      note_y_ += 4;
      note("The scene\u2019s own setting is off this map:", false, kMuted);
      const auto own = [&](double mm) { return plot_.inch ? inch_text(mm) : mm_text(mm); };
      note(fmt::format("depth {}, offset {}", own(map_.depth_now), own(map_.offset_now)), false, kMuted);
      note(percent(1 - d.failure_now) + " within every wish", false, kMuted);
    }
  }

  const WindowMap& plot_;
  const DialMap& map_;
  Canvas canvas_;
  std::string lip_, face_, band_, wall_, hidden_;
  std::vector<PixelBox> taken_;
  double note_y_ = 150;
};

}  // namespace

std::string draw_window_map(const WindowMap& plot) { return Sheet(plot).draw(); }

}  // namespace ovolo::render
