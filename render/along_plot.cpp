#include "render/along_plot.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <vector>

#include "render/axis.hpp"
#include "render/labels.hpp"
#include "sim/measure/verdict.hpp"

namespace ovolo::render {

namespace {

constexpr double kWidth = 1200, kLeft = 110, kRight = 860, kTop = 122, kPanel = 118, kGap = 44;
constexpr double kDegrees = 180 / std::numbers::pi;
constexpr double kShows = 1e-3;         // mm of a layer; less does not show
constexpr std::size_t kMostLayers = 5;  // with a panel of their own, beside those that should be hidden

/// One value along the contour; angles in degrees.
struct Series {
  std::string name;
  bool angle = false;
  std::optional<double> limit;
  std::vector<std::optional<double>> values;  ///< one for each station
  int worst = -1;                             ///< index of the station
  bool level = true;                          ///< the same all along
  char letter = 0;
  bool least = false;  ///< the limit is the least that is allowed, and the smallest value the worst
};

std::vector<Series> collect(const AlongPlot& plot) {
  const std::vector<Station>& stations = plot.edge.stations;
  std::vector<Series> out;
  const auto add = [&](Series series, auto value, bool always) {
    const double sign = series.least ? -1 : 1;
    for (const Station& station : stations) {
      series.values.push_back(station.kind == StationKind::edge ? value(station.measures) : std::nullopt);
    }
    for (std::size_t i = 0; i < series.values.size(); ++i) {
      if (!series.values[i]) continue;
      if (series.worst < 0 ||
          sign * (*series.values[i] - *series.values[static_cast<std::size_t>(series.worst)]) > 1e-4) {
        series.worst = static_cast<int>(i);
      }
    }
    for (const auto& v : series.values) {
      if (v && std::abs(*v - *series.values[static_cast<std::size_t>(series.worst)]) > 1e-3)
        series.level = false;
    }
    if (always || series.worst >= 0) out.push_back(std::move(series));
  };
  add(
      {"lip", false, plot.standard.wishes.lip, {}, -1, true, 0},
      [](const SectionMeasures& m) { return m.lip; }, true);
  add(
      {"flat band", false, plot.standard.wishes.band, {}, -1, true, 0},
      [](const SectionMeasures& m) { return m.band; }, true);
  const auto degrees = [](const std::optional<double>& v) {
    return v ? std::optional<double>(*v * kDegrees) : v;
  };
  // A corner under a leaning flank is told by the material's angle.
  const bool arris = leaves_arris(own_face_break(plot.standard.wanted));
  const auto at_face = [&](const std::optional<double>& v) {
    const auto turn = degrees(v);
    return arris && turn ? std::optional<double>(180 - *turn) : turn;
  };
  const double face_limit = plot.standard.face_break() * kDegrees;
  const auto face = [&](const char* plain_name, const char* arris_name) {
    return Series{
        arris ? arris_name : plain_name, true, arris ? 180 - face_limit : face_limit, {}, -1, true, 0, arris};
  };
  add(
      face("face break", "arris"), [&](const SectionMeasures& m) { return at_face(m.face_break); }, false);
  add(
      {"wall break", true, plot.standard.wall_break() * kDegrees, {}, -1, true, 0},
      [&](const SectionMeasures& m) { return degrees(m.wall_break); }, false);
  if (plot.edge.other) {
    add(
        {"lip below", false, plot.standard.wishes.lip, {}, -1, true, 0},
        [](const SectionMeasures& m) { return m.other ? m.other->lip : std::nullopt; }, false);
    add(
        face("break below", "arris below"),
        [&](const SectionMeasures& m) { return at_face(m.other ? m.other->face_break : std::nullopt); },
        false);
  }
  // Every layer that shows somewhere, and those that should not.
  const std::vector<std::string>& hidden = plot.standard.wishes.hidden;
  std::vector<std::size_t> others;
  std::size_t panels = 0;
  const auto shown = [](const SectionMeasures& m, std::size_t i) {
    return i < m.exposure.size() ? m.exposure[i] : 0;
  };
  for (std::size_t i = 0; i < plot.edge.exposure.size(); ++i) {
    const std::string& layer = plot.edge.exposure[i].layer;
    const bool hide = std::find(hidden.begin(), hidden.end(), layer) != hidden.end();
    const bool shows = std::any_of(stations.begin(), stations.end(), [&](const Station& s) {
      return s.kind == StationKind::edge && shown(s.measures, i) > kShows;
    });
    if (!hide && !shows) continue;
    if (!hide && ++panels > kMostLayers) {
      others.push_back(i);
      continue;
    }
    add(
        {layer + " showing", false, hide ? std::optional(kShows) : std::nullopt, {}, -1, true, 0},
        [&, i](const SectionMeasures& m) { return std::optional(shown(m, i)); }, false);
  }
  if (!others.empty())
    add(
        {fmt::format("{} more layers showing", others.size()), false, {}, {}, -1, true, 0},
        [&](const SectionMeasures& m) {
          double sum = 0;
          for (const std::size_t i : others) sum += shown(m, i);
          return std::optional(sum);
        },
        false);
  // Places are lettered; values that are worst at the same place share its letter.
  char next = 'A';
  for (std::size_t k = 0; k < out.size(); ++k) {
    if (out[k].level) continue;
    for (std::size_t j = 0; j < k && out[k].letter == 0; ++j) {
      if (out[j].letter != 0 && out[j].worst == out[k].worst) out[k].letter = out[j].letter;
    }
    if (out[k].letter == 0 && out[k].worst >= 0) out[k].letter = next++;
  }
  return out;
}

class AlongSheet {
 public:
  explicit AlongSheet(const AlongPlot& plot)
      : plot_(plot),
        series_(collect(plot)),
        canvas_(kWidth, kTop + static_cast<double>(series_.size()) * (kPanel + kGap) + 46, kPaper) {
    length_ =
        std::max({plot.edge.length, plot.edge.stations.empty() ? 0.0 : plot.edge.stations.back().s, 1e-3});
    unreached_ = canvas_.hatch(kMuted, 1.2, 7, Hatch::falling, mix(kPaper, kMuted, 0.1));
    ends_ = canvas_.dots(kMuted, 1.1, 6, mix(kPaper, kMuted, 0.06));
  }

  std::string draw() {
    heading();
    for (std::size_t k = 0; k < series_.size(); ++k)
      panel(series_[k], kTop + static_cast<double>(k) * (kPanel + kGap));
    axis_along();
    plan();
    legend();
    return canvas_.svg();
  }

 private:
  double x_of(double s) const { return kLeft + (kRight - kLeft) * s / length_; }

  void heading() {
    TextStyle style;
    style.size = 20;
    style.bold = true;
    canvas_.text({40, 44}, fitted(plot_.title, kWidth - 80, style.size, true), style);
    style = {};
    style.size = 14;
    style.color = kMuted;
    std::string text = fmt::format("Along the contour \u201c{}\u201d, {:.1f} mm ({:.2f} in)",
                                   plot_.edge.contour, plot_.edge.length, plot_.edge.length / 25.4);
    if (plot_.edge.copies.size() > 1) text += fmt::format(", {} equal parts", plot_.edge.copies.size());
    canvas_.text({40, 68}, fitted(text, kWidth - 80, style.size), style);
  }

  void stretches(double top) {
    const std::vector<Station>& stations = plot_.edge.stations;
    for (const Station& station : stations) {
      if (station.kind == StationKind::edge) continue;
      const double lo = std::max(0.0, station.s - station.weight / 2),
                   hi = std::min(length_, station.s + station.weight / 2);
      const double wide = std::max(4.0, x_of(hi) - x_of(lo));
      const bool end = station.kind == StationKind::end;
      (end ? has_ends_ : has_unreached_) = true;
      canvas_.rectangle({{x_of(lo), top}, {x_of(lo) + wide, top + kPanel}},
                        {std::nullopt, end ? ends_ : unreached_, 1, false}, no_stroke());
    }
  }

  void panel(const Series& series, double top) {
    const double low = top + kPanel;
    double most = series.limit ? 1.5 * *series.limit : 0;
    for (const auto& v : series.values) most = std::max(most, v ? 1.3 * *v : 0);
    if (most <= 0) most = 1;
    const auto y_of = [&](double v) { return low - kPanel * v / most; };

    TextStyle name;
    name.bold = true;
    name.size = 14;
    canvas_.text({kLeft, top - 9}, fitted(series.name, 300, name.size, true), name);
    if (series.limit) {
      canvas_.rectangle({{kLeft, series.least ? y_of(*series.limit) : top},
                         {kRight, series.least ? low : y_of(*series.limit)}},
                        {mix(kPaper, kOrange, 0.09), "", 1, false}, no_stroke());
    }
    stretches(top);
    scales(series, top, most);
    curve(series, y_of);
    if (series.limit) {
      const double y = y_of(*series.limit);
      canvas_.line({kLeft, y}, {kRight, y}, {kOrange, 1.6, "7 4", 1});
    }
    canvas_.rectangle({{kLeft, top}, {kRight, low}}, no_fill(), {kMuted, 1, "", 1});
    if (series.worst >= 0) mark(series, y_of, top);
  }

  void scales(const Series& series, double top, double most) {
    const double low = top + kPanel;
    TextStyle style;
    style.size = 12;
    style.anchor = Anchor::end;
    const AxisUnits units = axis_units(plot_.inch);
    const double own = series.angle ? 1 : units.own.mm;
    const Ticks left = ticks(most / own, 4);
    for (std::size_t i = 0; i < left.at.size(); ++i) {
      const double y = low - kPanel * left.at[i] * own / most;
      canvas_.line({kLeft, y}, {kRight, y}, {kRule, 1, "", 1});
      canvas_.text({kLeft - 8, y + 4}, left.label[i] + (series.angle ? "\u00b0" : ""), style);
    }
    style.color = kMuted;
    style.turn = -90;
    style.anchor = Anchor::middle;
    canvas_.text({kLeft - 66, (top + low) / 2}, series.angle ? "degrees" : units.own.name, style);
    if (series.angle) return;
    const Ticks right = ticks(most / units.other.mm, 4);
    style.turn = 0;
    style.anchor = Anchor::start;
    for (std::size_t i = 0; i < right.at.size(); ++i) {
      const double y = low - kPanel * right.at[i] * units.other.mm / most;
      canvas_.line({kRight, y}, {kRight + 5, y}, {kMuted, 1, "", 1});
      canvas_.text({kRight + 9, y + 4}, right.label[i], style);
    }
    style.turn = 90;
    style.anchor = Anchor::middle;
    canvas_.text({kRight + 76, (top + low) / 2}, units.other.name, style);
  }

  template <class Y>
  void curve(const Series& series, const Y& y_of) {
    const std::vector<Station>& stations = plot_.edge.stations;
    std::vector<Vec2> run;
    const auto flush = [&] {
      if (run.size() > 1) {
        std::vector<Vec2> area = run;
        area.push_back({run.back().x, y_of(0)});
        area.push_back({run.front().x, y_of(0)});
        canvas_.polygon(area, {kBlue, "", 0.16, false}, no_stroke());
        canvas_.polyline(run, {kBlue, 2.2, "", 1});
      } else if (run.size() == 1) {
        canvas_.circle(run.front(), 2.2, {kBlue, "", 1, false}, no_stroke());
      }
      run.clear();
    };
    for (std::size_t i = 0; i < stations.size(); ++i) {
      if (!series.values[i]) {
        has_blanks_ = has_blanks_ || stations[i].kind == StationKind::edge;
        flush();
        continue;
      }
      const Vec2 p{x_of(stations[i].s), y_of(*series.values[i])};
      if (run.empty()) run.push_back({x_of(std::max(0.0, stations[i].s - stations[i].weight / 2)), p.y});
      run.push_back(p);
      const bool last = i + 1 == stations.size() || !series.values[i + 1];
      if (last) run.push_back({x_of(std::min(length_, stations[i].s + stations[i].weight / 2)), p.y});
    }
    flush();
  }

  template <class Y>
  void mark(const Series& series, const Y& y_of, double top) {
    const Station& station = plot_.edge.stations[static_cast<std::size_t>(series.worst)];
    const double value = *series.values[static_cast<std::size_t>(series.worst)];
    const Vec2 p{x_of(station.s), y_of(value)};
    const bool beyond = series.limit && (series.least ? *series.limit - value : value - *series.limit) > 5e-5;
    const Color color = beyond ? kOrange : kInk;
    const std::string value_text = series.angle ? fmt::format("{:.1f}\u00b0", value) : length_text(value);
    const std::string limit =
        !series.limit
            ? ""
            : fmt::format(", wish at {} {}{}", series.least ? "least" : "most",
                          plain(std::round(*series.limit * 1000) / 1000),
                          series.angle ? "\u00b0" : fmt::format(" mm ({:.4f} in)", *series.limit / 25.4));
    TextStyle style;
    style.anchor = Anchor::end;
    style.color = color;
    style.bold = beyond;
    canvas_.text({kRight, top - 9},
                 series.level ? fmt::format("{} all along{}", value_text, limit)
                              : fmt::format("{} {} at {}{}", series.least ? "smallest" : "largest",
                                            value_text, series.letter, limit),
                 style);
    if (series.level) return;
    canvas_.circle(p, 4.5, {kPaper, "", 1, false}, {color, 2, "", 1});
    style.anchor = p.x > kRight - 20 ? Anchor::end : Anchor::start;
    style.halo = true;
    style.bold = true;
    style.size = 14;
    canvas_.text(p + Vec2{p.x > kRight - 20 ? -8.0 : 8.0, p.y - top < 24 ? 16.0 : -7.0},
                 std::string(1, series.letter), style);
  }

  void axis_along() {
    const double low = kTop + static_cast<double>(series_.size()) * (kPanel + kGap) - kGap;
    TextStyle style;
    style.size = 12;
    style.anchor = Anchor::middle;
    const AxisUnits units = axis_units(plot_.inch);
    const Ticks own = ticks(length_ / units.own.mm, 8);
    for (std::size_t i = 0; i < own.at.size(); ++i) {
      const double x = x_of(own.at[i] * units.own.mm);
      canvas_.line({x, low}, {x, low + 5}, {kInk, 1, "", 1});
      canvas_.text({x, low + 18}, own.label[i], style);
    }
    style.color = kMuted;
    const Ticks other = ticks(length_ / units.other.mm, 8);
    canvas_.line({kLeft, low + 30}, {kRight, low + 30}, {kMuted, 1, "", 1});
    for (std::size_t i = 0; i < other.at.size(); ++i) {
      const double x = x_of(other.at[i] * units.other.mm);
      canvas_.line({x, low + 30}, {x, low + 35}, {kMuted, 1, "", 1});
      canvas_.text({x, low + 48}, other.label[i], style);
    }
    style.anchor = Anchor::start;
    style.color = kInk;
    canvas_.text({kRight + 30, low + 22}, std::string(units.own.name) + " along the contour", style);
    style.color = kMuted;
    canvas_.text({kRight + 30, low + 48}, std::string(units.other.name) + " along the contour", style);
  }

  /// The contour as the stations draw it, with the start and the lettered places.
  void plan() {
    const std::vector<Station>& stations = plot_.edge.stations;
    if (stations.size() < 2) return;
    Box2 box;
    double widest = 0;
    for (std::size_t i = 0; i < stations.size(); ++i) {
      box.add(stations[i].point);
      if (i > 0) widest = std::max(widest, distance(stations[i].point, stations[i - 1].point));
    }
    const PixelBox frame{{970, kTop + 10}, {1150, kTop + 190}};
    const Vec2 size = box.hi - box.lo;
    Map map;
    map.scale = std::min(frame.width() / std::max(size.x, 1e-3), frame.height() / std::max(size.y, 1e-3));
    const Vec2 middle = (box.lo + box.hi) / 2;
    map.origin = {(frame.lo.x + frame.hi.x) / 2 - map.scale * middle.x,
                  (frame.lo.y + frame.hi.y) / 2 + map.scale * middle.y};
    std::vector<Vec2> line;
    for (const Station& station : stations) line.push_back(map(station.point));
    if (distance(stations.front().point, stations.back().point) <= 2 * widest) line.push_back(line.front());
    TextStyle style;
    style.bold = true;
    canvas_.text({955, kTop - 9}, "where", style);
    canvas_.polyline(line, {kBlue, 2, "", 1});
    const Vec2 start = map(stations.front().point);
    std::size_t ahead = 1;
    while (ahead + 1 < line.size() && distance(line[ahead], start) < 30) ++ahead;
    const Vec2 along = normalized(line[ahead] - start);
    const Vec2 beside = 9 * (2 * stations.front().point.y < box.lo.y + box.hi.y ? 1.0 : -1.0) * Vec2{0, 1};
    canvas_.circle(start, 4, {kInk, "", 1, false}, no_stroke());
    canvas_.arrow(start + beside, start + beside + 30 * along, {kInk, 1.4, "", 1}, false, true);
    LabelPlacer placer({{940, kTop - 4}, {1190, kTop + 240}});
    for (std::size_t i = 1; i < line.size(); ++i) {
      const int pieces = 1 + static_cast<int>(distance(line[i - 1], line[i]) / 4);
      for (int k = 0; k < pieces; ++k) {
        const Vec2 p = line[i - 1] + (k / static_cast<double>(pieces)) * (line[i] - line[i - 1]);
        placer.keep_clear({p - Vec2{3, 3}, p + Vec2{3, 3}});
      }
    }
    placer.keep_clear({{std::min(start.x, start.x + 30 * along.x), start.y + std::min(0.0, beside.y) - 4},
                       {std::max(start.x, start.x + 30 * along.x), start.y + std::max(0.0, beside.y) + 4}});
    const auto label = [&](Vec2 at, const std::string& text, const TextStyle& look) {
      const PixelBox extent = text_box({0, 0}, text, look);
      const auto room = placer.place(at, {extent.width() + 2, extent.height() + 2}, 7, 60);
      if (!room) return;
      canvas_.text({room->lo.x + 1, room->hi.y - 1 - 0.24 * look.size}, text, look);
    };
    style = {};
    style.size = 12;
    style.halo = true;
    label(start, "start", style);
    char last = 0;
    for (const Series& series : series_) {
      if (series.worst < 0 || series.letter <= last) continue;
      last = series.letter;
      const Vec2 p = map(stations[static_cast<std::size_t>(series.worst)].point);
      canvas_.circle(p, 4.5, {kPaper, "", 1, false}, {kOrange, 2, "", 1});
      style.bold = true;
      style.size = 14;
      label(p, std::string(1, series.letter), style);
    }
  }

  void legend() {
    double y = kTop + 260;
    const auto key = [&](auto draw, const std::string& text) {
      draw(y - 5);
      canvas_.text({1000, y}, text, {});
      y += 24;
    };
    key([&](double v) { canvas_.line({960, v}, {990, v}, {kBlue, 2.2, "", 1}); }, "measured");
    key([&](double v) { canvas_.line({960, v}, {990, v}, {kOrange, 1.6, "7 4", 1}); }, "wish");
    const auto swatch = [&](const std::string& pattern) {
      return [this, pattern](double v) {
        canvas_.rectangle({{960, v - 8}, {990, v + 8}}, {std::nullopt, pattern, 1, false},
                          {kMuted, 0.8, "", 1});
      };
    };
    if (has_blanks_) {
      key(
          [&](double v) {
            canvas_.rectangle({{960, v - 8}, {990, v + 8}}, no_fill(), {kMuted, 0.8, "3 3", 1});
          },
          "no such value here");
    }
    if (has_unreached_) key(swatch(unreached_), "not reached by the bit");
    if (has_ends_) key(swatch(ends_), "ramp or end, not counted");
  }

  const AlongPlot& plot_;
  std::vector<Series> series_;
  Canvas canvas_;
  double length_ = 1;
  std::string unreached_, ends_;
  bool has_unreached_ = false, has_ends_ = false, has_blanks_ = false;
};

}  // namespace

std::string draw_along(const AlongPlot& plot) { return AlongSheet(plot).draw(); }

}  // namespace ovolo::render
