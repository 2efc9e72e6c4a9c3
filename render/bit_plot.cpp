#include "render/bit_plot.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>
#include <string>
#include <utility>

#include "render/canvas.hpp"
#include "render/labels.hpp"

namespace ovolo::render {
namespace {

constexpr double kCell = 390, kTallest = 260;  // px: width of a bit's place, height of the tallest bit
constexpr double kAround = 90;                 // px above and below a bit, for dimensions
constexpr double kSide = 96;                   // px left free at either side of a bit, for dimensions
constexpr double kTop = 76, kFoot = 44;        // px of title and scale bar
constexpr double kLine = 19;                   // px between captions
constexpr std::size_t kAcross = 4, kCaptions = 8;
constexpr double kMostScale = 40;  // px for each mm

/// How much of the bit is drawn: its curve and some of the wall above it, mm.
double drawn_height(const BitDrawing& b) {
  const double curve = std::max(b.profile.form_height(), b.working_depth);
  const double all = b.profile.chain().back().b.y;
  return std::min(std::max(all, 0.5), std::max(1.35 * curve + 0.5, 1.5 * b.profile.cutting_radius()));
}

/// "3.62 mm" and "0.143 in": as calipers read.
std::string mm_label(double mm) { return plain(std::round(mm * 100) / 100) + " mm"; }
std::string inch_label(double mm) { return fmt::format("{:.3f} in", mm / 25.4); }

/// The half profile's outline from the axis at the tip, cut off level at `top`; `side` -1 mirrors it.
Path outline(const Profile& profile, const Map& map, double top, double side, bool closed) {
  Path path;
  path.move(map({0, profile.chain().front().a.y}));
  Vec2 last = profile.chain().front().a;
  for (const Segment& s : profile.chain()) {
    // Short lines keep every arc right when it is mirrored or cut off.
    const int parts = s.is_arc() ? std::clamp(static_cast<int>(s.length() * map.scale / 2), 4, 200) : 1;
    for (int i = 1; i <= parts; ++i) {
      Vec2 p = i == parts ? s.b : s.point(s.length() * i / parts);
      if (p.y > top) {
        if (last.y < top) {
          const double f = (top - last.y) / (p.y - last.y);
          last = last + f * (p - last);
          path.line(map({side * last.x, top}));
        }
        if (closed) path.line(map({0, top})).close();
        return path;
      }
      path.line(map({side * p.x, p.y}));
      last = p;
    }
  }
  if (closed) path.line(map({0, last.y})).close();
  return path;
}

class Sheet {
 public:
  Sheet(const std::vector<BitDrawing>& bits, const std::string& title, bool inch)
      : bits_(bits), title_(title), inch_(inch) {
    const std::size_t across = std::min(bits.size(), kAcross);
    double widest = 0, highest = 0;
    for (const BitDrawing& b : bits) {
      widest = std::max(widest, 2 * b.profile.cutting_radius());
      highest = std::max(highest, drawn_height(b));
    }
    scale_ = std::min({(kCell - 2 * kSide) / widest, kTallest / highest, kMostScale});
    for (std::size_t first = 0; first < bits.size(); first += kAcross) {
      double tall = 0;
      std::size_t lines = 0;
      for (std::size_t i = first; i < std::min(bits.size(), first + kAcross); ++i) {
        tall = std::max(tall, drawn_height(bits[i]) * scale_);
        lines = std::max(lines, std::min(bits[i].captions.size(), kCaptions));
      }
      rows_.push_back({tall + kAround, tall + kAround + 44 + static_cast<double>(lines) * kLine + 24});
    }
    width_ = std::max(static_cast<double>(across) * kCell, 520.0);
    height_ = kTop + kFoot;
    for (const Row& row : rows_) height_ += row.height;
  }

  std::string draw() {
    Canvas canvas(width_, height_, kPaper);
    canvas.text({24, 34}, fitted(title_, width_ - 48, 20, true),
                {20, Anchor::start, true, kInk, false, kPaper, 0});
    canvas.text({24, 56}, "All to one scale, tip down. Filled: the half profile; outline: its mirror image.",
                {13, Anchor::start, false, kMuted, false, kPaper, 0});
    const std::string fill = canvas.hatch(kMuted, 0.8, 5, Hatch::falling, Color{236, 239, 242});
    double y = kTop;
    for (std::size_t i = 0; i < bits_.size(); ++i) {
      const Row& row = rows_[i / kAcross];
      canvas.begin_group("bit");
      bit(canvas, bits_[i], static_cast<double>(i % kAcross) * kCell, y, row.drawn, fill);
      canvas.end();
      if (i % kAcross == kAcross - 1) y += row.height;
    }
    scale_bar(canvas, {24, height_ - 36}, bar_length(220 / scale_, inch_), scale_, inch_);
    return canvas.svg();
  }

 private:
  void bit(Canvas& canvas, const BitDrawing& b, double x, double y, double drawn,
           const std::string& fill) const {
    const double middle = x + kCell / 2, foot = y + drawn - 34;
    const Map map{scale_, {middle, foot}};
    const double top = drawn_height(b), r = b.profile.cutting_radius();
    canvas.path(outline(b.profile, map, top, 1, true), {std::nullopt, fill, 1, false}, no_stroke());
    canvas.path(outline(b.profile, map, top, 1, false), no_fill(), {kInk, 2, "", 1});
    canvas.path(outline(b.profile, map, top, -1, false), no_fill(), {kMuted, 1.2, "", 1});
    canvas.line(map({0, top + 12 / scale_}), map({0, -10 / scale_}), {kMuted, 0.8, "12 3 3 3", 1});

    const Stroke thin{kInk, 0.8, "", 1}, faint{kRule, 0.8, "", 1};
    if (b.working_depth > 0) {
      const double at = middle + r * scale_ + 26;
      canvas.line({middle + r * scale_ + 4, map({0, b.working_depth}).y},
                  {at + 6, map({0, b.working_depth}).y}, faint);
      canvas.line({middle + 4, foot}, {at + 6, foot}, faint);
      const Vec2 hi{at, map({0, b.working_depth}).y}, lo{at, foot};
      canvas.dimension(hi, lo, thin, lo.y - hi.y < 24);
      const TextStyle look{13, Anchor::start, false, kInk, false, kPaper, 0};
      canvas.text({at + 8, (hi.y + lo.y) / 2 - 4}, labels(b.working_depth)[0], look);
      canvas.text({at + 8, (hi.y + lo.y) / 2 + 12}, labels(b.working_depth)[1], look);
    }
    const double flat = b.tip_flat / 2;
    if (flat > 0 && flat < 0.98 * r) {
      const double at = foot + 20;
      for (const double side : {-1.0, 1.0})
        canvas.line({map({side * flat, 0}).x, foot + 3}, {map({side * flat, 0}).x, at + 5}, faint);
      canvas.dimension({map({-flat, 0}).x, at}, {map({flat, 0}).x, at}, thin, 2 * flat * scale_ < 30);
      canvas.text({map({flat, 0}).x + (2 * flat * scale_ < 30 ? 26 : 8), at + 4}, "flat " + both(2 * flat),
                  {13, Anchor::start, false, kInk, false, kPaper, 0});
    }
    const double at = map({0, top}).y - 18;
    for (const double side : {-1.0, 1.0})
      canvas.line({map({side * r, 0}).x, map({0, top}).y - 2}, {map({side * r, 0}).x, at - 5}, faint);
    canvas.dimension({map({-r, 0}).x, at}, {map({r, 0}).x, at}, thin, 2 * r * scale_ < 30);
    canvas.text({middle + 7, at - 6}, both(2 * r), {13, Anchor::start, false, kInk, true, kPaper, 0});

    double line = y + drawn + 22;
    canvas.text({middle, line}, fitted(b.name, kCell - 24, 15, true),
                {15, Anchor::middle, true, kInk, false, kPaper, 0});
    for (std::size_t i = 0; i < std::min(b.captions.size(), kCaptions); ++i)
      canvas.text({middle, line += kLine}, fitted(b.captions[i], kCell - 24, 13),
                  {13, Anchor::middle, false, kInk, false, kPaper, 0});
  }

  /// The own unit and the other.
  std::array<std::string, 2> labels(double mm) const {
    std::array<std::string, 2> out{mm_label(mm), inch_label(mm)};
    if (inch_) std::swap(out[0], out[1]);
    return out;
  }
  std::string both(double mm) const {
    const auto [own, other] = labels(mm);
    return fmt::format("{} ({})", own, other);
  }

  const std::vector<BitDrawing>& bits_;
  const std::string& title_;
  bool inch_;
  struct Row {
    double drawn, height;  // px: of the drawings, and with their captions
  };
  std::vector<Row> rows_;
  double scale_ = 1, width_ = 0, height_ = 0;
};

}  // namespace

std::string bit_plot(const std::vector<BitDrawing>& bits, const std::string& title, bool inch) {
  std::vector<BitDrawing> drawable;
  for (const BitDrawing& b : bits)
    if (!b.profile.chain().empty()) drawable.push_back(b);
  if (drawable.empty()) throw std::invalid_argument("there is no bit with a profile to draw");
  return Sheet(drawable, title, inch).draw();
}

}  // namespace ovolo::render
