#include "render/batch_plot.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <vector>

#include "render/axis.hpp"
#include "render/labels.hpp"
#include "sim/advise/edge_case.hpp"
#include "sim/measure/verdict.hpp"

namespace ovolo::render {
namespace {

constexpr double kWidth = 1200, kTop = 136, kPanelWidth = 480, kPanelHeight = 164;
constexpr double kColumns[] = {90, 670};
constexpr double kRowStep = 256;
constexpr double kDegrees = 180 / std::numbers::pi;

// Bars this many times as tall as the next are cut off, so that the others can be seen.
constexpr double kCutOff = 4;

struct Panel {
  std::string name, unit;
  const Spread* spread = nullptr;
  double factor = 1;
  std::optional<double> wish;  // in the spread's own unit
  double broken = 0;
};

std::string share_text(double share) {
  if (share <= 0) return "none";
  return share < 0.0005 ? "under 0.1 %" : fmt::format("{:.1f} %", 100 * share);
}

class Sheet {
 public:
  explicit Sheet(const BatchPlot& plot)
      : plot_(plot), panels_(collect(plot)), canvas_(kWidth, height(panels_.size()), kPaper) {
    beyond_ = canvas_.hatch(kOrange, 1.6, 6, Hatch::falling, mix(kPaper, kOrange, 0.25));
  }

  std::string draw() {
    TextStyle style;
    style.size = 20;
    style.bold = true;
    canvas_.text({40, 44},
                 fitted("A batch: " + plot_.job.operations[plot_.edge.operation].name, kWidth - 80, 20, true),
                 style);
    style = {};
    style.size = 15;
    style.color = kMuted;
    canvas_.text(
        {40, 68},
        fmt::format("{} batches of {} part{} drawn (seed {}); {:.1f} % of these edges are within every wish",
                    plot_.batch.batches, plot_.batch.parts, plot_.batch.parts == 1 ? "" : "s",
                    plot_.batch.seed, 100 * plot_.edge.within),
        style);
    canvas_.text(
        {40, 91},
        "Height of a bar: share of the edges (with a gap: taller than drawn; at the ends: with all that lies "
        "further). Dashed line: the wish. Hatched: beyond it.",
        style);
    for (std::size_t i = 0; i < panels_.size(); ++i)
      panel(panels_[i], {kColumns[i % 2], kTop + kRowStep * static_cast<double>(i / 2)});
    return canvas_.svg();
  }

 private:
  static std::vector<Panel> collect(const BatchPlot& plot) {
    const Wishes& w = plot.job.wishes;
    const BatchEdge& e = plot.edge;
    const WantedForm wanted = EdgeCase::of(plot.job, e.operation).wanted;
    const auto broken = [&](Wish wish) { return e.broken[static_cast<std::size_t>(wish)]; };
    const std::string degrees = "\u00b0";
    std::vector<Panel> out{{"lip", "mm", &e.lip, 1, w.lip, broken(Wish::lip)},
                           {"flat band", "mm", &e.band, 1, w.band, broken(Wish::band)},
                           {"face break", degrees, &e.face_break, kDegrees,
                            w.face_break + own_face_break(wanted), broken(Wish::face_break)},
                           {"wall break", degrees, &e.wall_break, kDegrees,
                            w.wall_break + own_wall_break(wanted), broken(Wish::wall_break)}};
    for (std::size_t i = 0; i < e.exposure.size(); ++i)
      for (const std::string& name : w.hidden)
        if (plot.job.stock.layers[i].name == name)
          out.push_back(
              {"\u201c" + name + "\u201d shows", "mm", &e.exposure[i], 1, 1e-3, broken(Wish::hidden)});
    out.push_back({"foot depth", "mm", &e.foot_depth, 1, std::nullopt, broken(Wish::foot)});
    return out;
  }

  static double height(std::size_t panels) {
    return kTop + kRowStep * std::ceil(static_cast<double>(panels) / 2) - 16;
  }

  void panel(const Panel& p, Vec2 corner) {
    const Spread& s = *p.spread;
    const PixelBox frame{corner, corner + Vec2{kPanelWidth, kPanelHeight}};
    TextStyle style;
    style.size = 16;
    style.bold = true;
    canvas_.text(corner - Vec2{0, 9},
                 p.unit == "mm" ? p.name + ", " + axis_units(plot_.job.inch).own.name : p.name, style);
    style.size = 15;
    style.anchor = Anchor::end;
    style.bold = p.broken > 0;
    style.color = p.broken > 0 ? kOrange : kMuted;
    if (p.wish) canvas_.text({frame.hi.x, corner.y - 9}, "beyond the wish: " + share_text(p.broken), style);
    if (s.bins.empty()) {
      style = {};
      style.color = kMuted;
      style.anchor = Anchor::middle;
      canvas_.text((frame.lo + frame.hi) / 2, "does not exist here", style);
      canvas_.rectangle(frame, no_fill(), {kMuted, 1, "", 1});
      return;
    }
    // The axis takes in the wish, so that one sees how far off it is.
    double lo = s.from, hi = s.to;
    if (p.wish) {
      lo = std::min(lo, *p.wish);
      hi = std::max(hi, *p.wish + 0.15 * (*p.wish - std::min(lo, 0.0)));
    }
    if (const double least = 0.02 / p.factor; hi - lo < least) hi = lo + least;
    const auto x_of = [&](double v) { return frame.lo.x + 10 + (frame.width() - 20) * (v - lo) / (hi - lo); };
    std::vector<double> sorted(s.bins);
    std::sort(sorted.rbegin(), sorted.rend());
    const double next = sorted.size() > 1 ? sorted[1] : 0;
    const bool cut = next > 0 && sorted[0] > kCutOff * next;
    // The scale's own height: that of the tallest bar, or of the next one at half the panel.
    const double scale = cut ? next : sorted[0], high = (kPanelHeight - 14) * (cut ? 0.5 : 1);
    bars(p, frame, x_of, high / scale);
    if (p.wish)
      canvas_.line({x_of(*p.wish), frame.lo.y}, {x_of(*p.wish), frame.hi.y}, {kOrange, 1.8, "7 4", 1});
    canvas_.rectangle(frame, no_fill(), {kMuted, 1, "", 1});
    axis(p, frame, lo, hi, x_of);
    style = {};
    style.size = 14;
    style.color = kMuted;
    const auto number = [&](double v) {
      return fmt::format("{:.{}f}", v * p.factor, p.unit == "mm" ? 3 : 1);
    };
    const auto told = [&](double v) {
      return p.unit == "mm" ? fmt::format("{:.3f} mm ({:.4f} in)", v, v / 25.4) : number(v) + p.unit;
    };
    canvas_.text({frame.lo.x, frame.hi.y + 46},
                 fmt::format("half up to {}, 95 % up to {}", told(s.middle), told(s.high)), style);
    style.anchor = Anchor::end;
    const double share = 100 * scale;
    canvas_.text({frame.lo.x - 8, frame.hi.y - high + 5},
                 fmt::format("{:.{}f} %", share,
                             share < 0.1 ? 2
                             : share < 1 ? 1
                                         : 0),
                 style);
    canvas_.text({frame.lo.x - 8, frame.hi.y}, "0 %", style);
  }

  template <class X>
  void bars(const Panel& p, const PixelBox& frame, const X& x_of, double per_share) {
    const Spread& s = *p.spread;
    const double step = (s.to - s.from) / static_cast<double>(s.bins.size());
    for (std::size_t i = 0; i < s.bins.size(); ++i) {
      if (s.bins[i] <= 0) continue;
      const double from = s.from + step * static_cast<double>(i), to = from + step;
      double x0 = x_of(from), x1 = x_of(to);
      if (x1 - x0 < 3) {  // all in one place: a bar that can be seen
        const double middle = (x0 + x1) / 2;
        x0 = middle - 3;
        x1 = middle + 3;
      }
      const double full = s.bins[i] * per_share, y = frame.hi.y - std::min(kPanelHeight - 14, full);
      const bool beyond = p.wish && from > *p.wish - 1e-9;  // a bar that holds the wish counts as within
      const Fill fill =
          beyond ? Fill{std::nullopt, beyond_, 1, false} : Fill{mix(kPaper, kBlue, 0.55), "", 1, false};
      canvas_.rectangle({{x0 + 0.5, y}, {x1 - 0.5, frame.hi.y}}, fill,
                        {beyond ? kOrange : kBlue, 0.8, "", 1});
      if (full <= kPanelHeight - 14 + 1e-9) continue;
      canvas_.polygon({{x0 - 4, y + 30}, {x1 + 4, y + 22}, {x1 + 4, y + 29}, {x0 - 4, y + 37}},
                      {kPaper, "", 1, false}, no_stroke());
      for (const double down : {0.0, 7.0})
        canvas_.line({x0 - 4, y + 30 + down}, {x1 + 4, y + 22 + down}, {kBlue, 1.2, "", 1});
      TextStyle style;
      style.size = 14;
      style.bold = true;
      style.halo = true;
      canvas_.text({x1 + 10, y + 14}, fmt::format("{:.1f} %", 100 * s.bins[i]), style);
    }
  }

  template <class X>
  void axis(const Panel& p, const PixelBox& frame, double lo, double hi, const X& x_of) {
    const bool mm = p.unit == "mm";
    const double factor = mm ? p.factor / axis_units(plot_.job.inch).own.mm : p.factor;
    const double step = round_below((hi - lo) * factor / 5);
    const int decimals = std::max(0, static_cast<int>(-std::floor(std::log10(step) + 1e-9)));
    TextStyle style;
    style.size = 14;
    style.anchor = Anchor::middle;
    double last = -1e9;
    for (double k = std::ceil(lo * factor / step - 1e-9); k * step <= hi * factor + 1e-12; ++k) {
      const double x = x_of(k * step / factor);
      canvas_.line({x, frame.hi.y}, {x, frame.hi.y + 5}, {kInk, 1, "", 1});
      if (x - last < 60) continue;
      last = x;
      canvas_.text({x, frame.hi.y + 21}, fmt::format("{:.{}f}{}", k * step + 0.0, decimals, mm ? "" : p.unit),
                   style);
    }
  }

  const BatchPlot& plot_;
  std::vector<Panel> panels_;
  Canvas canvas_;
  std::string beyond_;
};

}  // namespace

std::string draw_batch(const BatchPlot& plot) { return Sheet(plot).draw(); }

}  // namespace ovolo::render
