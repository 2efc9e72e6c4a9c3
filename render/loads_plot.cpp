#include "render/loads_plot.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include "render/axis.hpp"
#include "render/labels.hpp"

namespace ovolo::render {
namespace {

constexpr double kWidth = 1200, kLeft = 96, kRight = 770, kTop = 112, kPanel = 128, kGap = 46, kMargin = 32;
constexpr double kInch = 25.4;
constexpr std::size_t kMostPasses = 8;

struct Style {
  Color color;
  const char* dash;
};
// Told apart by dash alone where colours cannot be.
const std::array<Style, kMostPasses> kStyles{{{kBlue, ""},
                                              {kOrange, "9 4"},
                                              {kInk, "2 3"},
                                              {kMuted, "12 3 2 3"},
                                              {kBlue, "4 3"},
                                              {kOrange, "2 3"},
                                              {kInk, "9 4"},
                                              {kMuted, "5 3"}}};

struct Quantity {
  const char* name;
  const char* unit;
  double LoadPlace::*value;
  double inch;  // the inch unit in the other; 0: no second scale
  const char* inch_unit;
};
const std::array<Quantity, 3> kQuantities{
    {{"section removed across the path", "mm\u00b2", &LoadPlace::section, kInch* kInch, "in\u00b2"},
     {"cutting power, likely", "W", &LoadPlace::power, 0, ""},
     {"tip load, in % of the strength assumed: for comparing only", "%", &LoadPlace::index, 0, ""}}};

class Sheet {
 public:
  explicit Sheet(const LoadsPlot& plot)
      : plot_(plot), canvas_(kWidth, kTop + 3 * (kPanel + kGap) + 42, kPaper) {
    for (const PassLoad& p : plot.passes) length_ = std::max(length_, p.length);
    shown_ = std::min(plot.passes.size(), kMostPasses);
  }

  std::string draw() {
    canvas_.text({kMargin, 38},
                 fitted(plot_.title + ": loads along each pass", kWidth - 2 * kMargin, 21, true),
                 {21, Anchor::start, true});
    canvas_.text({kMargin, 61},
                 fitted("What the bit meets on its way, ramps included, from what all cuts before have left; "
                        "peaks at sharp corners are where it runs into fresh material.",
                        kWidth - 2 * kMargin, 15),
                 {15, Anchor::start, false, kMuted});
    for (std::size_t q = 0; q < kQuantities.size(); ++q)
      panel(kQuantities[q], kTop + static_cast<double>(q) * (kPanel + kGap));
    way();
    key();
    return canvas_.svg();
  }

 private:
  double x_of(double s) const { return kLeft + (kRight - kLeft) * s / length_; }

  void panel(const Quantity& q, double top) {
    const double low = top + kPanel;
    double most = 1e-9;
    for (std::size_t k = 0; k < shown_; ++k)
      for (const LoadPlace& p : plot_.passes[k].along) most = std::max(most, 1.1 * (p.*q.value));
    canvas_.text({kLeft, top - 9}, q.name, {15.5, Anchor::start, true});
    const bool inch = plot_.inch && q.inch > 0;
    const double own = inch ? q.inch : 1, other = inch ? 1 : q.inch;
    const Ticks left = ticks(most / own, 4);
    for (std::size_t i = 0; i < left.at.size(); ++i) {
      const double y = low - kPanel * left.at[i] * own / most;
      canvas_.line({kLeft, y}, {kRight, y}, {kRule, 1, "", 1});
      canvas_.text({kLeft - 8, y + 4}, left.label[i], {14, Anchor::end});
    }
    canvas_.text({kLeft - 56, (top + low) / 2}, inch ? q.inch_unit : q.unit,
                 {14, Anchor::middle, false, kMuted, false, kPaper, -90});
    if (other > 0) {
      const Ticks right = ticks(most / other, 4);
      for (std::size_t i = 0; i < right.at.size(); ++i) {
        const double y = low - kPanel * right.at[i] * other / most;
        canvas_.line({kRight, y}, {kRight + 5, y}, {kMuted, 1, "", 1});
        canvas_.text({kRight + 9, y + 4}, right.label[i], {14, Anchor::start, false, kMuted});
      }
      canvas_.text({kRight + 62, (top + low) / 2}, inch ? q.unit : q.inch_unit,
                   {14, Anchor::middle, false, kMuted, false, kPaper, 90});
    }
    canvas_.begin_clip(Path().rectangle({kLeft, top}, {kRight, low}));
    for (std::size_t k = 0; k < shown_; ++k) {
      std::vector<Vec2> line;
      for (const LoadPlace& p : plot_.passes[k].along)
        line.push_back({x_of(p.s), low - kPanel * (p.*q.value) / most});
      if (line.size() == 1)
        canvas_.circle(line.front(), 2.5, {kStyles[k].color, "", 1, false}, no_stroke());
      else
        canvas_.polyline(line, {kStyles[k].color, 2, kStyles[k].dash, 1});
    }
    canvas_.end();
    canvas_.rectangle({{kLeft, top}, {kRight, low}}, no_fill(), {kMuted, 1, "", 1});
  }

  void way() {
    const double low = kTop + 3 * (kPanel + kGap) - kGap;
    const AxisUnits units = axis_units(plot_.inch);
    const Ticks own = ticks(length_ / units.own.mm, 8), other = ticks(length_ / units.other.mm, 8);
    for (std::size_t i = 0; i < own.at.size(); ++i) {
      const double x = x_of(own.at[i] * units.own.mm);
      canvas_.line({x, low}, {x, low + 5}, {kInk, 1, "", 1});
      canvas_.text({x, low + 18}, own.label[i], {14, Anchor::middle});
    }
    canvas_.line({kLeft, low + 30}, {kRight, low + 30}, {kMuted, 1, "", 1});
    for (std::size_t i = 0; i < other.at.size(); ++i) {
      const double x = x_of(other.at[i] * units.other.mm);
      canvas_.line({x, low + 30}, {x, low + 35}, {kMuted, 1, "", 1});
      canvas_.text({x, low + 48}, other.label[i], {14, Anchor::middle, false, kMuted});
    }
    canvas_.text({kRight + 30, low + 18}, std::string(units.own.name) + " of the pass's way", {14});
    canvas_.text({kRight + 30, low + 48}, std::string(units.other.name) + " of the pass's way",
                 {14, Anchor::start, false, kMuted});
  }

  /// Each pass with its line and its largest values.
  void key() {
    const double x = kRight + 84, room = kWidth - kMargin - x;
    double y = kTop + 8;
    const bool roomy = shown_ <= 5;  // for inches too
    const double row = roomy ? 19 : 17;
    for (std::size_t k = 0; k < shown_; ++k) {
      const PassLoad& p = plot_.passes[k];
      canvas_.line({x, y - 5}, {x + 34, y - 5}, {kStyles[k].color, 2, kStyles[k].dash, 1});
      std::string name = fmt::format("pass {}", p.pass + 1);
      if (k < plot_.depths.size()) name += fmt::format(": {}", length_text(plot_.depths[k]));
      canvas_.text({x + 42, y}, fitted(name, room - 42, 15, true), {15, Anchor::start, true});
      const std::string section = plot_.inch ? fmt::format("{:.4f} in\u00b2", p.section.max / (kInch * kInch))
                                             : fmt::format("{:.2f} mm\u00b2", p.section.max);
      std::vector<std::string> more{
          fmt::format("most {}, {:.0f} W, tip load {:.1f} %", section, p.power.value, p.index.value)};
      if (roomy) {
        more.push_back(length_text(p.chip_load) + " a tooth");
        more.push_back(fmt::format("{:.0f} mm\u00b3 ({:.3f} in\u00b3) in all", p.volume,
                                   p.volume / (kInch * kInch * kInch)));
      } else {
        more.push_back(
            plot_.inch ? fmt::format("{} a tooth, {:.3f} in\u00b3 in all", inch_text(p.chip_load),
                                     p.volume / (kInch * kInch * kInch))
                       : fmt::format("{} a tooth, {:.0f} mm\u00b3 in all", mm_text(p.chip_load), p.volume));
      }
      for (std::size_t i = 0; i < more.size(); ++i)
        canvas_.text({x + 42, y + row * static_cast<double>(i + 1)}, fitted(more[i], room - 42, 13.5),
                     {13.5, Anchor::start, false, kMuted});
      y += row * static_cast<double>(more.size() + 1) + 5;
    }
    if (shown_ < plot_.passes.size())
      canvas_.text({x, y}, fmt::format("and {} more: see loads.csv", plot_.passes.size() - shown_),
                   {14, Anchor::start, false, kMuted});
  }

  const LoadsPlot& plot_;
  Canvas canvas_;
  double length_ = 1e-3;
  std::size_t shown_ = 0;
};

}  // namespace

std::string draw_loads(const LoadsPlot& plot) { return Sheet(plot).draw(); }

}  // namespace ovolo::render
