#include "render/wear_plot.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <optional>
#include <utility>
#include <vector>

#include "render/axis.hpp"
#include "render/labels.hpp"

namespace ovolo::render {
namespace {

constexpr double kWidth = 1200, kHeight = 680;
constexpr PixelBox kFrame{{110, 110}, {1090, 580}};

std::optional<std::chrono::sys_days> day_of(const std::string& date) {
  int y = 0, m = 0, d = 0;
  if (std::sscanf(date.c_str(), "%d-%d-%d", &y, &m, &d) != 3) return std::nullopt;
  using namespace std::chrono;
  return year_month_day{year{y}, month{static_cast<unsigned>(m)}, day{static_cast<unsigned>(d)}};
}

std::string day_after(const std::string& first, double days) {
  const auto start = day_of(first);
  if (!start) return fmt::format("day {:.0f}", days);
  const std::chrono::year_month_day at{*start + std::chrono::days{static_cast<int>(std::lround(days))}};
  return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(at.year()), static_cast<unsigned>(at.month()),
                     static_cast<unsigned>(at.day()));
}

class Sheet {
 public:
  explicit Sheet(const WearPlot& plot) : plot_(plot), wear_(plot.wear), canvas_(kWidth, kHeight, kPaper) {
    const auto& r = wear_.readings;
    const double seen = std::max(1.0, r.back().at - r.front().at);
    from_ = r.front().at - 0.06 * seen;
    to_ = r.back().at + 0.35 * seen;
    if (plot.reach.likely) to_ = std::max(to_, std::min(*plot.reach.likely + 0.2 * seen, from_ + 6 * seen));
    top_ = low_ = r.front().depth;
    for (const WearReading& p : r) {
      top_ = std::max(top_, p.depth + 2 * p.error);
      low_ = std::min(low_, p.depth - 2 * p.error);
    }
    low_ = std::min(low_, wear_.depth_at(to_));
    if (plot.limit) low_ = std::min(low_, plot.limit->working_depth);
    const double room = 0.08 * std::max(0.05, top_ - low_);
    top_ += room;
    low_ -= 1.5 * room;
  }

  std::string draw() {
    TextStyle style;
    style.size = 20;
    style.bold = true;
    canvas_.text({40, 44}, fitted("Wear of the bit \u201c" + plot_.bit + "\u201d", kWidth - 80, 20, true),
                 style);
    style = {};
    style.size = 14;
    style.color = kMuted;
    canvas_.text({40, 68}, fitted(summary(), kWidth - 80, 14), style);
    canvas_.begin_clip(Path().rectangle(kFrame.lo, kFrame.hi));
    band();
    canvas_.end();
    limit();
    readings();
    canvas_.rectangle(kFrame, no_fill(), {kInk, 1.2, "", 1});
    axes();
    return canvas_.svg();
  }

 private:
  Vec2 at(double t, double depth) const {
    return {kFrame.lo.x + kFrame.width() * (t - from_) / (to_ - from_),
            kFrame.lo.y + kFrame.height() * (top_ - depth) / (top_ - low_)};
  }

  std::string summary() const {
    const double per = plot_.by_run ? 100 : 30;
    const double loss = wear_.loss * per, error = 1.96 * wear_.loss_error * per;
    std::string own = fmt::format("{:.3f} \u00b1 {:.3f} mm", loss, error),
                other = fmt::format("{:.4f} \u00b1 {:.4f} in", loss / 25.4, error / 25.4);
    if (plot_.inch) std::swap(own, other);
    return fmt::format(
        "Readings with two standard errors, the line through them and its band of 95 %. It loses {} ({}) in "
        "{}.",
        own, other, plot_.by_run ? "100 m of edge" : "30 days");
  }

  void band() {
    std::vector<Vec2> area, line;
    constexpr int kSteps = 120;
    const auto t_of = [&](int i) { return from_ + (to_ - from_) * i / kSteps; };
    for (int i = 0; i <= kSteps; ++i) {
      area.push_back(at(t_of(i), wear_.depth_at(t_of(i)) + 1.96 * wear_.error_at(t_of(i))));
      line.push_back(at(t_of(i), wear_.depth_at(t_of(i))));
    }
    for (int i = kSteps; i >= 0; --i)
      area.push_back(at(t_of(i), wear_.depth_at(t_of(i)) - 1.96 * wear_.error_at(t_of(i))));
    canvas_.polygon(area, {mix(kPaper, kBlue, 0.16), "", 1, false}, no_stroke());
    canvas_.polyline(line, {kBlue, 2.2, "", 1});
  }

  void limit() {
    if (!plot_.limit) return;
    const double y = at(from_, plot_.limit->working_depth).y;
    canvas_.line({kFrame.lo.x, y}, {kFrame.hi.x, y}, {kOrange, 2, "8 5", 1});
    TextStyle style;
    style.size = 15;
    style.color = kOrange;
    style.bold = true;
    style.halo = true;
    canvas_.text({kFrame.lo.x + 10, y + 21},
                 fmt::format("below {} the {} of \u201c{}\u201d leaves its wish{}",
                             length_text(plot_.limit->working_depth), name_of(plot_.limit->breaks),
                             fitted(plot_.operation, 300, 15, true),
                             !spread_shown() ? ""
                             : plot_.by_run  ? "; thick: within these metres, with 95 %"
                                             : "; thick: on a day in this span, with 95 %"),
                 style);
    if (!crossing_shown()) return;
    const Vec2 p = at(*plot_.reach.likely, plot_.limit->working_depth);
    if (plot_.reach.earliest) {
      const double x0 = at(*plot_.reach.earliest, 0).x;
      const double x1 =
          plot_.reach.latest ? std::min(at(*plot_.reach.latest, 0).x, kFrame.hi.x) : kFrame.hi.x;
      canvas_.line({x0, p.y}, {x1, p.y}, {kOrange, 5, "", 0.6});
    }
    canvas_.circle(p, 7, {kOrange, "", 1, false}, {kPaper, 2, "", 1});
    style.color = kInk;
    const bool late = p.x > kFrame.hi.x - 160;
    style.anchor = late ? Anchor::end : Anchor::start;
    canvas_.text(p + Vec2{late ? -12.0 : 12.0, -12}, place_text(plot_, *plot_.reach.likely), style);
  }

  bool crossing_shown() const { return plot_.reach.likely && *plot_.reach.likely <= to_; }
  bool spread_shown() const { return crossing_shown() && plot_.reach.earliest; }

  void readings() {
    for (const WearReading& r : wear_.readings) {
      const Vec2 p = at(r.at, r.depth), up = at(r.at, r.depth + 2 * r.error),
                 down = at(r.at, r.depth - 2 * r.error);
      canvas_.line(up, down, {kInk, 1.6, "", 1});
      for (const Vec2 end : {up, down}) canvas_.line(end - Vec2{5, 0}, end + Vec2{5, 0}, {kInk, 1.6, "", 1});
      canvas_.circle(p, 4.5, {kInk, "", 1, false}, {kPaper, 1.5, "", 1});
    }
  }

  // Depths in mm (factor 1) or inches at one side.
  void depths(double factor, double x, double way, const TextStyle& style) {
    const double step = round_below((top_ - low_) / factor / 6);
    const int decimals = std::max(0, static_cast<int>(-std::floor(std::log10(step) + 1e-9)));
    for (double k = std::ceil(low_ / factor / step); k * step * factor <= top_; ++k) {
      const double y = at(from_, k * step * factor).y;
      canvas_.line({x, y}, {x + 6 * way, y}, {style.color, 1, "", 1});
      canvas_.text({x + 10 * way, y + 4}, fmt::format("{:.{}f}", k * step, decimals), style);
    }
  }

  // Round lengths of edge, the firsts of months, or where the span is short round numbers of days.
  std::vector<double> ticks() const {
    std::vector<double> out;
    const double span = (to_ - from_) / 7, first = wear_.readings.front().at;
    const auto start = plot_.by_run ? std::nullopt : day_of(wear_.readings.front().date);
    if (!start || span < 15) {
      const double zero = plot_.by_run ? 0 : first, step = round_below(span * 7 / 6);
      for (double k = std::ceil((from_ - zero) / step - 1e-9); zero + k * step <= to_; ++k)
        out.push_back(zero + k * step);
      return out;
    }
    using namespace std::chrono;
    int step = 1;
    for (const int months : {2, 3, 6, 12, 24, 60, 120, 240})
      if (30.4 * step < span) step = months;
    const year_month_day begin{*start + days{static_cast<int>(std::floor(from_ - first))}};
    for (int m = static_cast<int>(begin.year()) * 12;; m += step) {
      const sys_days at = year_month_day{year{m / 12}, month{static_cast<unsigned>(m % 12 + 1)}, day{1}};
      const double t = first + static_cast<double>((at - *start).count());
      if (t > to_) return out;
      if (t >= from_) out.push_back(t);
    }
  }

  void axes() {
    TextStyle style;
    style.size = 14;
    style.anchor = Anchor::end;
    const AxisUnits units = axis_units(plot_.inch);
    depths(units.own.mm, kFrame.lo.x, -1, style);
    style.anchor = Anchor::start;
    style.color = kMuted;
    depths(units.other.mm, kFrame.hi.x, 1, style);
    style.color = kInk;
    style.anchor = Anchor::middle;
    for (const double t : ticks()) {
      const double x = at(t, low_).x;
      canvas_.line({x, kFrame.hi.y}, {x, kFrame.hi.y + 6}, {kInk, 1, "", 1});
      canvas_.text({x, kFrame.hi.y + 24}, place_text(plot_, t), style);
    }
    style.size = 15;
    canvas_.text({(kFrame.lo.x + kFrame.hi.x) / 2, kFrame.hi.y + 52},
                 plot_.by_run ? "edge cut with it, metres" : "day of the reading", style);
    style.turn = -90;
    canvas_.text({kFrame.lo.x - 62, (kFrame.lo.y + kFrame.hi.y) / 2},
                 fmt::format("working depth, {}", units.own.name), style);
    style.turn = 90;
    style.color = kMuted;
    canvas_.text({kFrame.hi.x + 66, (kFrame.lo.y + kFrame.hi.y) / 2}, units.other.name, style);
  }

  const WearPlot& plot_;
  const Wear& wear_;
  Canvas canvas_;
  double from_ = 0, to_ = 1, top_ = 1, low_ = 0;
};

}  // namespace

std::string place_text(const WearPlot& plot, double at) {
  if (plot.by_run) return fmt::format("{:.0f} m", at);
  return day_after(plot.wear.readings.front().date, at - plot.wear.readings.front().at);
}

std::string draw_wear(const WearPlot& plot) { return Sheet(plot).draw(); }

}  // namespace ovolo::render
