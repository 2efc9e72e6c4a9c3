#include "render/top_view.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "render/canvas.hpp"
#include "render/labels.hpp"
#include "render/layer_look.hpp"
#include "render/raster.hpp"
#include "render/vec3.hpp"
#include "render/worst.hpp"
#include "sim/parallel.hpp"

namespace ovolo::render {

namespace {

constexpr double kTopMargin = 96, kLeftMargin = 90, kRightMargin = 40, kBottomMargin = 130;
constexpr double kTallest = 1200;      // px of the sheet
constexpr Color kThrough{58, 56, 54};  // the spoilboard below, in shade
constexpr std::size_t kMostLabels = 14;

class TopSheet {
 public:
  explicit TopSheet(const TopView& view) : view_(view), thickness_(view.stock.thickness()) {
    const double room = view.width - kLeftMargin - kRightMargin;
    map_.scale = std::min(room / view.stock.width, kTallest / view.stock.height);
    size_ = map_.scale * Vec2{view.stock.width, view.stock.height};
    map_.origin = {kLeftMargin + (room - size_.x) / 2, kTopMargin + size_.y};
    height_ = static_cast<int>(std::ceil(kTopMargin + size_.y + kBottomMargin));
    double z = 0;
    for (const Layer& layer : view.stock.layers) bottoms_.push_back(z -= layer.thickness);
    light_ = normalized(Vec3{-0.5, 0.62, 0.75});
  }

  Image draw() {
    Image image(view_.width, height_);
    parallel_for(static_cast<std::size_t>(height_), [&](std::size_t row) {
      for (int x = 0; x < view_.width; ++x)
        paint(image.pixel(x, static_cast<int>(row)), x, static_cast<int>(row));
    });
    lay_over(image, rasterize(drawing()));
    return image;
  }

  std::string drawing() const {
    Canvas canvas(view_.width, height_, std::nullopt);
    canvas.rectangle({map_({0, view_.stock.height}), map_({view_.stock.width, 0})}, no_fill(),
                     {kInk, 1.2, "", 1});
    TextStyle style;
    style.size = 26;
    style.bold = true;
    canvas.text({kLeftMargin, 48}, fitted(view_.title, view_.width - 2 * kLeftMargin, style.size, true),
                style);
    style = {};
    style.size = 17;
    style.color = kMuted;
    canvas.text({kLeftMargin, 76}, "The finished sheet from above", style);
    contours(canvas);
    sizes(canvas);
    marks(canvas);
    return canvas.svg();
  }

 private:
  double height_at(Vec2 p) const {
    const Vec2 c = (p - view_.field.origin()) / view_.field.cell();
    if (!(c.x >= 0 && c.y >= 0)) return 0;
    const auto i = static_cast<std::int64_t>(c.x), j = static_cast<std::int64_t>(c.y);
    if (i >= view_.field.columns() || j >= view_.field.rows()) return 0;
    return static_cast<double>(view_.field.at(i, j));
  }

  /// Between cells where they would show; steps stay sharp.
  double smooth_height_at(Vec2 p) const {
    const double cell = view_.field.cell();
    if (cell * map_.scale < 0.5) return height_at(p);
    const Vec2 c = (p - view_.field.origin()) / cell - Vec2{0.5, 0.5};
    const Vec2 low = view_.field.origin() + cell * Vec2{std::floor(c.x) + 0.5, std::floor(c.y) + 0.5};
    const double a = height_at(low), b = height_at(low + Vec2{cell, 0}), d = height_at(low + Vec2{0, cell}),
                 e = height_at(low + Vec2{cell, cell});
    if (std::max({a, b, d, e}) - std::min({a, b, d, e}) > 4 * cell) return height_at(p);
    const double fx = c.x - std::floor(c.x), fy = c.y - std::floor(c.y);
    return (1 - fy) * (a + fx * (b - a)) + fy * (d + fx * (e - d));
  }

  Color color_at(double z) const {
    if (z <= -thickness_ + 1e-4) return kThrough;
    for (std::size_t i = 0; i < bottoms_.size(); ++i) {
      if (z > bottoms_[i]) return to_color(view_.stock.layers[i].color);
    }
    return kThrough;
  }

  /// 0 in full shadow, 1 in full light: how far the highest thing toward the light reaches above the ray.
  double sunlit(Vec2 p, double z) const {
    const double step = 1 / map_.scale;
    const Vec2 toward{light_.x, light_.y};
    const double flat = length(toward), rise = light_.z / flat;
    double lit = 1;
    for (int k = 1; k <= 48; ++k) {
      const double run = k * step, ray = z + run * rise;
      if (ray > 0) break;
      const double over = height_at(p + run / flat * toward) - ray;
      lit = std::min(lit, 1 - std::clamp(over / (0.5 * step), 0.0, 1.0));
    }
    return lit;
  }

  void paint(std::uint8_t* pixel, int px, int py) const {
    pixel[3] = 255;
    const Vec2 middle{(px + 0.5 - map_.origin.x) / map_.scale, (map_.origin.y - py - 0.5) / map_.scale};
    if (middle.x < 0 || middle.y < 0 || middle.x > view_.stock.width || middle.y > view_.stock.height) {
      pixel[0] = pixel[1] = pixel[2] = 255;
      return;
    }
    constexpr int kLooks = 3;
    const double step = 1 / map_.scale, reach = std::max(view_.field.cell(), 0.5 * step);
    const double z = height_at(middle);
    const double sun = sunlit(middle, z);
    bool flat = true;
    for (const Vec2 d : {Vec2{-1, -1}, Vec2{1, -1}, Vec2{-1, 1}, Vec2{1, 1}, Vec2{0, 1}, Vec2{0, -1},
                         Vec2{1, 0}, Vec2{-1, 0}}) {
      flat = flat && height_at(middle + (0.5 * step + reach) * d) == z;
    }
    std::array<double, 3> sum{};
    const int looks = flat ? 1 : kLooks;
    for (int k = 0; k < looks * looks; ++k) {
      const Vec2 p = middle + step * Vec2{(k % looks + 0.5) / looks - 0.5, (k / looks + 0.5) / looks - 0.5};
      const Color c = color_at(flat ? z : smooth_height_at(p));
      double facing = 1;
      if (!flat) {
        const double dx =
            (smooth_height_at({p.x + reach, p.y}) - smooth_height_at({p.x - reach, p.y})) / (2 * reach);
        const double dy =
            (smooth_height_at({p.x, p.y + reach}) - smooth_height_at({p.x, p.y - reach})) / (2 * reach);
        facing = std::max(0.0, dot(normalized(Vec3{-dx, -dy, 1}), light_)) / light_.z;
      }
      const double lit = c == kThrough ? 0.75 + 0.25 * sun : 0.34 + 0.5 * sun * std::min(facing, 1.32);
      sum[0] += lit * tones_.linear(c.r);
      sum[1] += lit * tones_.linear(c.g);
      sum[2] += lit * tones_.linear(c.b);
    }
    for (std::size_t i = 0; i < 3; ++i) pixel[i] = tones_.byte(sum[i] / (looks * looks));
  }

  void contours(Canvas& canvas) const {
    Path path;
    for (const Contour& contour : view_.contours) {
      if (contour.empty()) continue;
      path.move(map_(contour.segments().front().a));
      for (const Segment& s : contour.segments()) path.segment(s, map_);
      if (contour.closed()) path.close();
    }
    canvas.path(path, no_fill(), {kPaper, 2.6, "", 0.55});
    canvas.path(path, no_fill(), {kInk, 1, "", 1});
  }

  void sizes(Canvas& canvas) const {
    const Vec2 low = map_({0, 0}), far = map_({view_.stock.width, view_.stock.height});
    const auto size_text = [this](double mm) {
      const std::string a = plain(mm) + " mm", b = fmt::format("{:.2f} in", mm / 25.4);
      return view_.inch ? fmt::format("{} ({})", b, a) : fmt::format("{} ({})", a, b);
    };
    TextStyle style;
    style.size = 16;
    style.anchor = Anchor::middle;
    canvas.arrow({low.x, low.y + 20}, {far.x, low.y + 20}, {kInk, 1.2, "", 1});
    canvas.text({(low.x + far.x) / 2, low.y + 42}, size_text(view_.stock.width), style);
    canvas.arrow({low.x - 20, low.y}, {low.x - 20, far.y}, {kInk, 1.2, "", 1});
    style.turn = -90;
    canvas.text({low.x - 32, (low.y + far.y) / 2}, size_text(view_.stock.height), style);

    const double y = low.y + 78;
    scale_bar(canvas, {low.x, y}, bar_length(200 / map_.scale, view_.inch), map_.scale, view_.inch);
    style = {};
    style.size = 15;
    double x = low.x + 330, row = y;
    const auto key = [&](Color c, const std::string& name) {
      const std::string text = fitted(name, 240, style.size);
      const double wide = 42 + text_width(text, style.size) + 26;
      if (x + wide > view_.width - 10) {
        x = low.x + 330;
        row += 28;
      }
      if (row > height_ - 14) return;
      canvas.rectangle({{x, row - 8}, {x + 32, row + 12}}, {c, "", 1, false}, {kInk, 0.8, "", 1});
      canvas.text({x + 42, row + 8}, text, style);
      x += wide;
    };
    key(kThrough, "cut through");
    for (const LayerKind& kind : layer_kinds(view_.stock).kinds)
      key(to_color(kind.layer->color), kind.layer->name);
  }

  void marks(Canvas& canvas) const {
    constexpr double kSize = 17;
    LabelPlacer placer({{8, kTopMargin - 6}, {view_.width - 8.0, map_.origin.y - 4}});
    const Vec2 corner = map_({0, view_.stock.height});
    placer.keep_clear(
        PixelBox{corner - Vec2{50, 0}, {corner.x - 12, map_.origin.y}});  // the height's dimension
    for (const TopMark& mark : view_.marks)
      placer.keep_clear({map_(mark.at) - Vec2{9, 9}, map_(mark.at) + Vec2{9, 9}});
    for (const Contour& contour : view_.contours) {
      const int pieces = static_cast<int>(std::clamp(contour.length() * map_.scale / 12, 1.0, 4000.0));
      for (int i = 0; i < pieces; ++i) {
        const Vec2 p = map_(contour.point(contour.length() * i / pieces));
        placer.prefer_clear({p - Vec2{7, 7}, p + Vec2{7, 7}});
      }
    }
    struct Placed {
      const TopMark* mark;
      std::optional<PixelBox> box;
      std::string text;
    };
    std::vector<Placed> placed;
    for (const TopMark& mark : view_.marks) {
      Placed p{&mark, {}, fitted(mark.name, 320, kSize, !mark.good) + ": " + mark.value};
      if (placed.size() < kMostLabels) {
        const Vec2 size{text_width(p.text, kSize, !mark.good) + 16, kSize + 12};
        // Toward the sheet's middle, where there is room.
        const Vec2 inward = map_(0.5 * Vec2{view_.stock.width, view_.stock.height}) - map_(mark.at);
        p.box = placer.place(map_(mark.at), size, 34, 500, std::atan2(-inward.y, inward.x));
      }
      placed.push_back(std::move(p));
    }
    for (const Placed& p : placed) {
      if (!p.box) continue;
      const Vec2 centre = map_(p.mark->at), end = leader_end(*p.box, centre);
      const Vec2 at = centre + 9 * normalized(end - centre);
      canvas.line(at, end, {kPaper, 4, "", 0.8});
      canvas.line(at, end, {kInk, 1.6, "", 1});
    }
    for (const Placed& p : placed) {
      const Color color = p.mark->good ? kBlue : kOrange;
      canvas.circle(map_(p.mark->at), 8, no_fill(), {kPaper, 5, "", 0.85});
      canvas.circle(map_(p.mark->at), 8, no_fill(), {color, 2.6, "", 1});
      if (!p.box) continue;
      canvas.rectangle(*p.box, {kPaper, "", 0.93, false}, {color, 1.4, "", 1}, 4);
      TextStyle style;
      style.size = kSize;
      style.bold = !p.mark->good;
      canvas.text({p.box->lo.x + 8, p.box->hi.y - 10}, p.text, style);
    }
  }

  const TopView& view_;
  double thickness_;
  Map map_;
  Vec2 size_;
  int height_ = 0;
  std::vector<double> bottoms_;
  Vec3 light_;
  ToneTable tones_;
};

}  // namespace

Image draw_top(const TopView& view) { return TopSheet(view).draw(); }
std::string top_drawing(const TopView& view) { return TopSheet(view).drawing(); }

std::vector<Contour> edge_contours(const Job& job) {
  std::vector<Contour> out;
  std::vector<bool> done(job.contours.size(), false);
  for (const Operation& operation : job.operations) {
    if (operation.kind != OperationKind::edge || operation.contour < 0) continue;
    const auto k = static_cast<std::size_t>(operation.contour);
    if (done[k]) continue;
    done[k] = true;
    for (const Vec2 at : job.contours[k].at) out.push_back(job.contours[k].contour.translated(at));
  }
  return out;
}

std::vector<TopMark> worst_marks(const Job& job, const Measures& measures) {
  std::vector<std::pair<double, TopMark>> ranked;
  for (const EdgeMeasures& edge : measures.edges) {
    const Operation& operation = job.operations[edge.operation];
    const WantedForm wanted = wanted_form(operation, job.bits[operation.bit]);
    const Standard standard{job.wishes, wanted, job.stock};
    const auto worst = worst_station(edge, standard);
    if (!worst) continue;
    const Station& station = edge.stations[*worst];
    const Standing s = standing(station.measures, standard);
    TopMark mark{station.point, operation.name,
                 edge.verdict.good ? "within the wishes" : standing_text(s, job.stock), edge.verdict.good};
    if (edge.copies.size() > 1) mark.value += fmt::format(", {} parts", edge.copies.size());
    ranked.emplace_back(edge.verdict.good ? 0 : 1 + s.ratio, std::move(mark));
  }
  std::stable_sort(ranked.begin(), ranked.end(),
                   [](const auto& a, const auto& b) { return a.first > b.first; });
  std::vector<TopMark> out;
  for (auto& [ratio, mark] : ranked) out.push_back(std::move(mark));
  return out;
}

}  // namespace ovolo::render
