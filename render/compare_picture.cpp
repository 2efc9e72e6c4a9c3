#include "render/compare_picture.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "render/canvas.hpp"
#include "render/labels.hpp"
#include "render/marks_draw.hpp"
#include "render/raster.hpp"

namespace ovolo::render {
namespace {

constexpr std::size_t kMostPanels = 8;
constexpr double kMargin = 28, kLabels = 186, kGap = 20;  // px
constexpr double kHeader = 92, kStrip = 96, kBarRow = 46, kText = 14;

/// A line of the bars: what is compared on one scale.
struct Metric {
  std::string label;
  std::function<std::optional<Ranged>(const StrategyFigures&)> value;
  std::function<std::string(const StrategyFigures&, const Ranged&)> text;
  const Ranking* ranking = nullptr;
};

std::optional<Ranged> sharp(double v) { return Ranged{v, v, v}; }

std::vector<Metric> metrics_of(const ComparePicture& p) {
  const std::string money = p.currency.empty() ? "" : " " + p.currency;
  // A format with one field takes the value alone, one with two also the value times `other`.
  const auto fixed = [](const char* format, double other = 1) {
    return [format, other](const StrategyFigures&, const Ranged& r) {
      return fmt::format(fmt::runtime(format), r.value, other * r.value);
    };
  };
  const auto part = [](auto of) {
    return
        [of](const StrategyFigures& f) { return f.part ? std::optional<Ranged>(of(*f.part)) : std::nullopt; };
  };
  const StrategyComparison& c = p.comparison;
  return {
      {"advance per tooth", [](const StrategyFigures& f) { return sharp(f.chip_load); },
       fixed("{:.3f} mm ({:.4f} in)", 1 / 25.4), nullptr},
      {"taken in one pass", [](const StrategyFigures& f) { return sharp(f.section); },
       fixed("{:.1f} mm² ({:.4f} in²)", 1 / (25.4 * 25.4)), nullptr},
      {"tallest feed mark",
       [](const StrategyFigures& f) { return f.tallest_mark ? sharp(1000 * *f.tallest_mark) : std::nullopt; },
       fixed("{:.1f} µm ({:.2f} thou)", 1 / 25.4), &c.finish},
      {"tip load, %", [](const StrategyFigures& f) { return f.tip_index; }, fixed("{:.0f}"), &c.tip},
      {"machine, per part", part([](const CostShare& s) { return *sharp(s.machine_minutes); }),
       fixed("{:.1f} min"), nullptr},
      {"sanding, per part", part([](const CostShare& s) { return s.sanding_minutes; }),
       [](const StrategyFigures& f, const Ranged& r) {
         return r.high <= 0 ? std::string(name_of(f.sanding))
                            : fmt::format("{:.1f} min, {}", r.value, name_of(f.sanding));
       },
       nullptr},
      {"cost of a part", part([](const CostShare& s) { return s.total; }),
       [money](const StrategyFigures&, const Ranged& r) { return fmt::format("{:.2f}{}", r.value, money); },
       &c.cost},
      {fmt::format("batch of {}", p.batch),
       [](const StrategyFigures& f) {
         return f.batch ? std::optional<Ranged>(f.batch->total) : std::nullopt;
       },
       [money](const StrategyFigures&, const Ranged& r) { return fmt::format("{:.0f}{}", r.value, money); },
       nullptr},
  };
}

/// Words of a text in lines no wider than `width`.
std::vector<std::string> lines_of(const std::string& text, double width, double size, bool bold = false) {
  std::vector<std::string> lines{""};
  std::string word;
  const auto flush = [&] {
    if (word.empty()) return;
    const std::string joined = lines.back().empty() ? word : lines.back() + " " + word;
    if (lines.back().empty() || text_width(joined, size, bold) <= width)
      lines.back() = joined;
    else
      lines.push_back(word);
    word.clear();
  };
  for (const char c : text) {
    if (c == ' ')
      flush();
    else
      word += c;
  }
  flush();
  return lines;
}

class Drawing {
 public:
  explicit Drawing(const ComparePicture& picture)
      : p_(picture), n_(std::min({picture.panels.size(), picture.comparison.figures.size(), kMostPanels})) {
    column_ = std::clamp(1120.0 / static_cast<double>(std::max<std::size_t>(n_, 1)), 290.0, 460.0);
    width_ = 2 * kMargin + kLabels + static_cast<double>(n_) * column_;
    inner_ = column_ - kGap;
    metrics_ = metrics_of(p_);
    for (const std::string& reason : p_.comparison.reasons) {
      reasons_.push_back(lines_of(reason, width_ - 2 * kMargin, kText));
    }
    note_ = lines_of(p_.note, width_ - 2 * kMargin, 12.5);
    lay_out();
  }

  CompareDrawing draw() const {
    Canvas canvas(width_, height_, kPaper);
    canvas.text({kMargin, 42}, fitted(p_.title, width_ - 2 * kMargin, 24, true), {24, Anchor::start, true});
    labels(canvas);
    CompareDrawing out;
    for (std::size_t i = 0; i < n_; ++i) {
      header(canvas, i);
      section(canvas, i);
      strip(canvas, i);
      if (close_height_ > 0)
        out.close_ups.push_back({{left(i), close_top_}, {left(i) + inner_, close_top_ + close_height_}});
    }
    bars(canvas);
    words(canvas);
    out.svg = canvas.svg();
    out.width = width_;
    out.height = height_;
    return out;
  }

 private:
  const ComparePicture& p_;
  std::size_t n_;
  double column_, inner_, width_ = 0, height_ = 0;
  double close_top_ = 0, close_height_ = 0, section_top_ = 0, section_height_ = 0, strip_top_ = 0,
         bars_top_ = 0, words_top_ = 0;
  std::vector<Metric> metrics_;
  std::vector<std::vector<std::string>> reasons_;
  std::vector<std::string> note_;
  double span_u_ = 1, span_z_ = 1, section_scale_ = 1;
  double tallest_ = 0;  // mm, of all
  double enlarge_ = 0;  // of marks in the sections
  double travel_ = 0;   // mm along the feed in the strips

  double left(std::size_t i) const { return kMargin + kLabels + static_cast<double>(i) * column_; }

  void lay_out() {
    bool pictures = false;
    for (std::size_t i = 0; i < n_; ++i) {
      const ComparePanel& panel = p_.panels[i];
      pictures = pictures || panel.close_up.width > 0;
      span_u_ = std::max(span_u_, panel.wanted.width + 1.6);
      double deepest = panel.wanted.depth;
      if (!panel.section.pieces.empty()) deepest = std::max(deepest, -panel.section.pieces.front().start().y);
      span_z_ = std::max(span_z_, deepest + 1.6);
      tallest_ = std::max(tallest_, panel.marks.tallest);
      for (const MarkSettings& cut : panel.marks.cuts)
        travel_ = std::max(travel_, 5 * cut.advance_per_turn());
    }
    if (tallest_ > 0) enlarge_ = round_below(0.5 / tallest_);
    close_top_ = 62 + kHeader;
    close_height_ = pictures ? inner_ / kCloseUpAspect : 0;
    section_top_ = close_top_ + close_height_ + (pictures ? 12 : 0);
    section_scale_ = std::min(inner_ / (span_u_ + 1), 300 / (span_z_ + 1));
    section_height_ = section_scale_ * (span_z_ + 1);
    strip_top_ = section_top_ + section_height_ + 12;
    bars_top_ = strip_top_ + (tallest_ > 0 ? kStrip + 18 : 0);
    words_top_ = bars_top_ + kBarRow * static_cast<double>(metrics_.size()) + 34;
    height_ = words_top_;
    for (const auto& lines : reasons_) height_ += 20 * static_cast<double>(lines.size()) + 6;
    height_ += 10 + 17 * static_cast<double>(note_.size()) + 16;
  }

  void label(Canvas& canvas, double top, const std::string& name, const std::string& more) const {
    canvas.text({kMargin, top + 14}, name, {kText, Anchor::start, true});
    double y = top + 32;
    for (const std::string& line : lines_of(more, kLabels - 16, 12.5)) {
      canvas.text({kMargin, y}, line, {12.5, Anchor::start, false, kMuted});
      y += 16;
    }
  }

  void labels(Canvas& canvas) const {
    if (close_height_ > 0) label(canvas, close_top_, "the edge", "close up, lit from the side");
    std::string more = "blue dashes: the wanted round.";
    if (enlarge_ > 0)
      more += fmt::format(" Orange: feed marks, {} times taller than they are", plain(enlarge_));
    label(canvas, section_top_, "section", more);
    if (tallest_ > 0)
      label(canvas, strip_top_, "along the feed",
            fmt::format("{} mm ({}) of the surface where the marks are tallest; heights {} times stretched",
                        plain(std::round(travel_ * 100) / 100), inch_text(travel_),
                        plain(std::round(strip_rise() / strip_run()))));
  }

  void header(Canvas& canvas, std::size_t i) const {
    const StrategyFigures& f = p_.comparison.figures[i];
    const double x = left(i), y = 62;
    canvas.line({x, y - 4}, {x + inner_, y - 4}, {kInk, 1.5, "", 1});
    canvas.circle({x + 15, y + 19}, 14, {kInk, "", 1, false}, no_stroke());
    canvas.text({x + 15, y + 24.5}, std::string(1, static_cast<char>('A' + i)),
                {15, Anchor::middle, true, kPaper});
    std::vector<std::string> name = lines_of(f.name, inner_ - 40, 15, true);
    if (name.size() > 2) name = {name[0], fitted(name[1] + " " + name[2], inner_ - 40, 15, true)};
    for (std::size_t k = 0; k < name.size(); ++k)
      canvas.text({x + 38, y + 18 + 19 * static_cast<double>(k)}, fitted(name[k], inner_ - 40, 15, true),
                  {15, Anchor::start, true});
    std::vector<std::string> verdict = lines_of(p_.panels[i].verdict, inner_, 13, !f.good);
    if (verdict.size() > 2)
      verdict = {verdict[0], fitted(verdict[1] + " " + verdict[2], inner_ - 14, 13, !f.good)};
    for (std::size_t k = 0; k < verdict.size(); ++k)
      canvas.text({x, y + 59 + 16 * static_cast<double>(k)}, verdict[k],
                  {13, Anchor::start, !f.good, f.good ? kMuted : kOrange});
  }

  void section(Canvas& canvas, std::size_t i) const {
    const ComparePanel& panel = p_.panels[i];
    const double x = left(i);
    const PixelBox frame{{x, section_top_}, {x + inner_, section_top_ + section_height_}};
    const Map map{section_scale_, {x + section_scale_, section_top_ + section_scale_}};
    canvas.begin_clip(Path().rectangle(frame.lo, frame.hi));
    draw_crests(canvas, panel.marks, map, enlarge_);
    draw_material(canvas, frame, panel.section, panel.stock, map);
    if (!panel.wanted.curve.empty()) {
      Path wanted;
      wanted.move(map(panel.wanted.curve.front().a));
      for (const Segment& s : panel.wanted.curve) wanted.segment(s, map);
      canvas.path(wanted, no_fill(), {kBlue, 1.4, "7 4", 1});
    }
    canvas.end();
    canvas.rectangle(frame, no_fill(), {kRule, 1, "", 1});
    if (i == 0) {
      const double bar = round_below(span_u_ / 3);
      scale_bar(canvas, {x + 12, section_top_ + section_height_ - 30}, bar, section_scale_, false, true);
    }
  }

  double strip_run() const { return inner_ / travel_; }          // px per mm
  double strip_rise() const { return 0.5 * kStrip / tallest_; }  // px per mm

  void strip(Canvas& canvas, std::size_t i) const {
    const CurveMarks& marks = p_.panels[i].marks;
    if (tallest_ <= 0) return;
    const double x = left(i);
    const PixelBox frame{{x, strip_top_}, {x + inner_, strip_top_ + kStrip}};
    canvas.rectangle(frame, no_fill(), {kRule, 1, "", 1});
    if (marks.tallest <= 0) return;
    draw_feed_strip(canvas, frame, marks, travel_, strip_rise());
    const std::string high =
        fmt::format("{:.1f} µm ({:.2f} thou) high", 1000 * marks.tallest, 1000 * marks.tallest / 25.4);
    std::string text = fmt::format("{}, {:.0f} to the inch", high, marks.marks_per_inch);
    if (text_width(text, 13, true) > inner_ - 12) text = high;  // many strategies side by side
    if (marks.open) text = "the marks do not overlap";
    canvas.text({frame.hi.x - 6, strip_top_ + 15}, text, {13, Anchor::end, true, kInk, true});
  }

  void bars(Canvas& canvas) const {
    for (std::size_t m = 0; m < metrics_.size(); ++m) {
      const Metric& metric = metrics_[m];
      const double y = bars_top_ + kBarRow * static_cast<double>(m);
      canvas.line({kMargin, y}, {width_ - kMargin, y}, {kRule, 1, "", 1});
      canvas.text({kMargin, y + 19}, metric.label, {kText, Anchor::start, true});
      double most = 0;
      for (std::size_t i = 0; i < n_; ++i)
        if (const auto r = metric.value(p_.comparison.figures[i])) most = std::max(most, r->high);
      for (std::size_t i = 0; i < n_; ++i) {
        const StrategyFigures& f = p_.comparison.figures[i];
        const auto r = metric.value(f);
        const double x = left(i);
        if (!r) {
          canvas.text({x, y + 19}, "not known", {kText, Anchor::start, false, kMuted});
          continue;
        }
        const bool best = is_best(metric, i);
        std::string text = metric.text(f, *r);
        if (best) text += metric.ranking->decided() ? ", best" : ", equally good";
        canvas.text({x, y + 19}, fitted(text, inner_, kText, best),
                    {kText, Anchor::start, best, best ? kBlue : kInk});
        if (most <= 0) continue;
        const double bar = inner_ / most;
        canvas.rectangle({{x, y + 27}, {x + bar * r->value, y + 37}},
                         {best ? kBlue : kMuted, "", best ? 1 : 0.55, false}, no_stroke());
        if (r->high - r->low > 0.02 * most) {
          canvas.line({x + bar * r->low, y + 32}, {x + bar * r->high, y + 32}, {kInk, 1.4, "", 1});
          for (const double end : {r->low, r->high})
            canvas.line({x + bar * end, y + 28}, {x + bar * end, y + 36}, {kInk, 1.4, "", 1});
        }
      }
    }
    const double end = bars_top_ + kBarRow * static_cast<double>(metrics_.size());
    canvas.line({kMargin, end}, {width_ - kMargin, end}, {kRule, 1, "", 1});
  }

  static bool is_best(const Metric& metric, std::size_t i) {
    if (!metric.ranking || metric.ranking->places.size() < 2) return false;
    const auto& first = metric.ranking->places.front();
    return std::find(first.begin(), first.end(), i) != first.end();
  }

  void words(Canvas& canvas) const {
    double y = words_top_;
    for (const auto& lines : reasons_) {
      for (const std::string& line : lines) {
        canvas.text({kMargin, y}, line, {kText});
        y += 20;
      }
      y += 6;
    }
    y += 10;
    for (const std::string& line : note_) {
      canvas.text({kMargin, y}, line, {12.5, Anchor::start, false, kMuted});
      y += 17;
    }
  }
};

/// The picture made smaller, each pixel the mean of those it covers.
Image shrunk(const Image& from, int width, int height) {
  Image to(width, height);
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) {
      const int x0 = x * from.width / width, x1 = std::max(x0 + 1, (x + 1) * from.width / width);
      const int y0 = y * from.height / height, y1 = std::max(y0 + 1, (y + 1) * from.height / height);
      int sum[4] = {};
      for (int j = y0; j < y1; ++j)
        for (int k = x0; k < x1; ++k)
          for (int c = 0; c < 4; ++c) sum[c] += from.pixel(k, j)[c];
      const int count = (x1 - x0) * (y1 - y0);
      for (int c = 0; c < 4; ++c) to.pixel(x, y)[c] = static_cast<std::uint8_t>(sum[c] / count);
    }
  return to;
}

}  // namespace

CompareDrawing lay_out_compare(const ComparePicture& picture) {
  CompareDrawing drawing = Drawing(picture).draw();
  if (picture.words) drawing.svg = picture.words(drawing.svg);
  return drawing;
}

Image draw_compare(const ComparePicture& picture, double scale) {
  const CompareDrawing drawing = lay_out_compare(picture);
  Image image = rasterize(drawing.svg, scale);
  for (std::size_t i = 0; i < drawing.close_ups.size(); ++i) {
    const Image& close_up = picture.panels[i].close_up;
    const PixelBox& box = drawing.close_ups[i];
    if (close_up.width == 0) continue;
    lay_over(image,
             shrunk(close_up, static_cast<int>(box.width() * scale), static_cast<int>(box.height() * scale)),
             static_cast<int>(box.lo.x * scale), static_cast<int>(box.lo.y * scale));
  }
  return image;
}

}  // namespace ovolo::render
