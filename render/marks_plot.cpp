#include "render/marks_plot.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "render/axis.hpp"
#include "render/labels.hpp"
#include "render/marks_draw.hpp"

namespace ovolo::render {
namespace {

constexpr double kWidth = 1200, kHeight = 640, kMargin = 32;
const PixelBox kSection{{kMargin, 96}, {470, 450}};
const PixelBox kChart{{560, 130}, {kWidth - kMargin - 66, 400}};
const PixelBox kStrip{{kMargin, 504}, {kWidth - kMargin, 604}};

std::string cut_text(const CurveMarks& marks) {
  if (marks.points.empty() || marks.cuts.empty()) return "no feed or spindle speed known";
  const MarkPoint& tallest = marks.points[marks.tallest_point];
  const MarkSettings& s = marks.cuts[tallest.place.cut];
  std::string text = fmt::format("{:.0f} mm/min ({:.0f} in/min), {:.0f} rpm, {} flute{}, runout {} mm ({})",
                                 s.feed, s.feed / 25.4, s.spindle, s.flutes, s.flutes == 1 ? "" : "s",
                                 plain(s.runout), inch_text(s.runout));
  if (s.direction) text += *s.direction == Direction::climb ? ", climbing" : ", conventional";
  if (!tallest.marks) return text + ": the marks do not overlap";
  return text + fmt::format(": {} of {} flutes mark, {:.0f} to the inch", tallest.marks->marking, s.flutes,
                            marks.marks_per_inch);
}

std::string grade_text(const CurveMarks& marks) {
  if (marks.points.empty() || !marks.points[marks.tallest_point].marks) return {};
  const MarkGrade grade = mark_grade(marks.marks_per_inch);
  return fmt::format("; {} of the Architectural Woodwork Standards",
                     grade == MarkGrade::custom_and_premium ? "custom and premium grade"
                     : grade == MarkGrade::economy          ? "economy grade"
                                                            : "below the economy grade");
}

void section(Canvas& canvas, const MarksPlot& plot) {
  double reach = 1, deepest = 1;
  for (const MarkPoint& p : plot.marks.points) {
    reach = std::max(reach, p.place.at.x);
    deepest = std::max(deepest, -p.place.at.y);
  }
  const double scale = std::min(kSection.width() / (reach + 2.6), kSection.height() / (deepest + 2.6));
  const Map map{scale, {kSection.lo.x + scale, kSection.lo.y + scale}};
  const double times = plot.marks.tallest > 0 ? round_below(0.5 / plot.marks.tallest) : 0;
  canvas.begin_clip(Path().rectangle(kSection.lo, kSection.hi));
  draw_crests(canvas, plot.marks, map, times);
  draw_material(canvas, kSection, plot.section, plot.stock, map);
  canvas.end();
  canvas.rectangle(kSection, no_fill(), {kRule, 1, "", 1});
  scale_bar(canvas, {kSection.hi.x - 140, kSection.hi.y - 30}, bar_length(120 / scale, plot.inch), scale,
            plot.inch, true);
  if (times > 0)
    canvas.text({kSection.lo.x, kSection.hi.y + 20},
                fmt::format("feed marks drawn {} times taller than they are", plain(times)),
                {14.5, Anchor::start, false, kMuted});
}

/// A roughness, of mm.
std::string roughness(double mm, bool inch) {
  return inch ? fmt::format("{:.0f} µin", mm / 25.4 * 1e6) : fmt::format("{:.2f} µm", 1000 * mm);
}

/// A height on the surface, of mm.
std::string height(double mm, bool inch) {
  return inch ? fmt::format("{:.2f} thou", 1000 * mm / 25.4) : fmt::format("{:.1f} µm", 1000 * mm);
}

void bands(Canvas& canvas, const CurveMarks& marks, double per_mm, bool inch) {
  for (std::size_t i = 0; i < marks.bands.size(); ++i) {
    const MarkBand& b = marks.bands[i];
    const PixelBox box{{kChart.lo.x + per_mm * b.s0, kChart.lo.y},
                       {kChart.lo.x + per_mm * b.s1, kChart.hi.y}};
    if (b.nearest_tip) canvas.rectangle(box, {kOrange, "", 0.14, false}, no_stroke());
    canvas.line({box.hi.x, kChart.lo.y - 40}, {box.hi.x, kChart.hi.y}, {kRule, 1, "", 1});
    const double middle = (box.lo.x + box.hi.x) / 2;
    const Color color = b.nearest_tip ? kOrange : kInk;
    canvas.text({middle, kChart.lo.y - 26},
                fitted("Rz " + roughness(b.rz, inch), box.width() - 6, 14.5, b.nearest_tip),
                {14.5, Anchor::middle, b.nearest_tip, color});
    canvas.text({middle, kChart.lo.y - 9},
                fitted("Ra " + roughness(b.ra, inch), box.width() - 6, 14.5, b.nearest_tip),
                {14.5, Anchor::middle, b.nearest_tip, color});
    if (b.nearest_tip)
      canvas.text({box.lo.x + 6, kChart.hi.y - 8}, fitted("nearest the tip", box.width() - 8, 14.5, true),
                  {14.5, Anchor::start, true, kOrange, true});
  }
}

void chart(Canvas& canvas, const MarksPlot& plot) {
  const CurveMarks& marks = plot.marks;
  const double length = std::max(marks.length(), 1e-6);
  const bool shows_feel = plot.feel < 2.5 * marks.tallest;
  const double top = 1000 * std::max({1.08 * marks.tallest, shows_feel ? 1.15 * plot.feel : 0.0, 1e-5});
  const double per_mm = kChart.width() / length, per_um = kChart.height() / top;
  bands(canvas, marks, per_mm, plot.inch);
  struct Heights {
    const char* name;
    double um;
  };
  Heights left{"height, µm", 1}, right{"height, thou (0.001 in)", 25.4};
  if (plot.inch) std::swap(left, right);
  const AxisUnit way = axis_units(plot.inch).own;
  const Ticks up = ticks(top / left.um, 5), other = ticks(top / right.um, 5),
              along = ticks(length / way.mm, 6);
  for (std::size_t i = 0; i < up.at.size(); ++i) {
    const double y = kChart.hi.y - per_um * left.um * up.at[i];
    canvas.line({kChart.lo.x - 5, y}, {kChart.lo.x, y}, {kInk, 1, "", 1});
    canvas.text({kChart.lo.x - 9, y + 4.5}, up.label[i], {14.5, Anchor::end});
  }
  for (std::size_t i = 0; i < along.at.size(); ++i) {
    const double x = kChart.lo.x + per_mm * way.mm * along.at[i];
    canvas.line({x, kChart.hi.y}, {x, kChart.hi.y + 5}, {kInk, 1, "", 1});
    canvas.text({x, kChart.hi.y + 20}, along.label[i], {14.5, Anchor::middle});
  }
  for (std::size_t i = 0; i < other.at.size(); ++i) {
    const double y = kChart.hi.y - per_um * right.um * other.at[i];
    canvas.line({kChart.hi.x, y}, {kChart.hi.x + 5, y}, {kMuted, 1, "", 1});
    canvas.text({kChart.hi.x + 9, y + 4.5}, other.label[i], {14.5, Anchor::start, false, kMuted});
  }
  canvas.text({kChart.hi.x + 58, (kChart.lo.y + kChart.hi.y) / 2}, right.name,
              {14.5, Anchor::middle, false, kMuted, false, kPaper, 90});
  canvas.text({kChart.lo.x - 54, (kChart.lo.y + kChart.hi.y) / 2}, left.name,
              {14.5, Anchor::middle, false, kInk, false, kPaper, -90});
  canvas.text({(kChart.lo.x + kChart.hi.x) / 2, kChart.hi.y + 40},
              fmt::format("{} along the curve, from the foot up to the face ({} in all)", way.name,
                          plot.inch ? mm_text(length) : inch_text(length)),
              {14.5, Anchor::middle});
  if (shows_feel) {
    const double y = kChart.hi.y - per_um * 1000 * plot.feel;
    canvas.line({kChart.lo.x, y}, {kChart.hi.x, y}, {kBlue, 1.4, "7 4", 1});
    canvas.text(
        {kChart.hi.x - 6, y - 6},
        fmt::format("felt above {}", plot.inch ? height(plot.feel, true) : plain(1000 * plot.feel) + " µm"),
        {14.5, Anchor::end, false, kBlue, true});
  }
  std::vector<Vec2> rt, ra;
  for (const MarkPoint& p : marks.points) {
    const double x = kChart.lo.x + per_mm * p.place.s;
    const double least = p.place.radius * p.place.upright;  // where they do not overlap
    rt.push_back({x, kChart.hi.y - per_um * 1000 * (p.marks ? p.marks->rt : least)});
    ra.push_back({x, kChart.hi.y - per_um * 1000 * (p.marks ? p.marks->ra : 0)});
  }
  canvas.begin_clip(Path().rectangle(kChart.lo, kChart.hi));
  canvas.polyline(ra, {kMuted, 1.6, "2 3", 1});
  canvas.polyline(rt, {kInk, 2.2, "", 1});
  canvas.end();
  canvas.line({kChart.lo.x, kChart.lo.y}, {kChart.lo.x, kChart.hi.y}, {kInk, 1, "", 1});
  canvas.line({kChart.lo.x, kChart.hi.y}, kChart.hi, {kInk, 1, "", 1});
  const double y = kChart.hi.y + 68, x = kChart.lo.x;
  canvas.line({x, y - 4}, {x + 30, y - 4}, {kInk, 2.2, "", 1});
  canvas.text({x + 38, y}, "crest height (Rt)", {14.5});
  canvas.line({x + 200, y - 4}, {x + 230, y - 4}, {kMuted, 1.6, "2 3", 1});
  canvas.text({x + 238, y}, "Ra", {14.5});
}

void strip(Canvas& canvas, const CurveMarks& marks, bool inch) {
  if (marks.tallest <= 0) return;
  const double turn = marks.cuts[marks.points[marks.tallest_point].place.cut].advance_per_turn();
  const double travel = 12 * turn, rise = 56 / marks.tallest;
  const double up = marks.points[marks.tallest_point].place.s;
  canvas.rectangle(kStrip, no_fill(), {kRule, 1, "", 1});
  draw_feed_strip(canvas, kStrip, marks, travel, rise);
  canvas.text(
      {kStrip.lo.x, kStrip.lo.y - 9},
      fmt::format("along the feed, {} up the curve: {:.2f} mm ({}) of the surface, {}{} "
                  "high; heights {:.0f} times stretched",
                  inch ? inch_text(up) : fmt::format("{:.2f} mm", up), travel, inch_text(travel),
                  marks.open ? "at least " : "", height(marks.tallest, inch), rise * travel / kStrip.width()),
      {14.5});
}

}  // namespace

std::string draw_marks(const MarksPlot& plot) {
  Canvas canvas(kWidth, kHeight, kPaper);
  canvas.text({kMargin, 38}, fitted(plot.title + ": feed marks", kWidth - 2 * kMargin, 21, true),
              {21, Anchor::start, true});
  const double room = kWidth - 2 * kMargin;
  canvas.text({kMargin, 61}, fitted(cut_text(plot.marks), room, 14), {14, Anchor::start, false, kMuted});
  canvas.text({kMargin, 81}, fitted(plot.place + grade_text(plot.marks), room, 14),
              {14, Anchor::start, false, kMuted});
  section(canvas, plot);
  if (!plot.marks.points.empty()) chart(canvas, plot);
  strip(canvas, plot.marks, plot.inch);
  return canvas.svg();
}

}  // namespace ovolo::render
