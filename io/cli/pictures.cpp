#include "io/cli/pictures.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <optional>

#include "io/cli/picture_files.hpp"
#include "render/pictures.hpp"
#include "sim/carve/carve.hpp"
#include "sim/measure/folded_measures.hpp"
#include "sim/measure/section.hpp"
#include "sim/measure/verdict.hpp"
#include "sim/parallel.hpp"
#include "sim/solid/seen_from_above.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo::cli {
namespace {

// A picture still to be drawn: what does not depend on another is drawn at the same time.
struct Picture {
  std::string name;
  std::function<std::string()> png;
};

class EdgePictures {
 public:
  EdgePictures(const Prepared& scene, const EdgeMeasures& edge, io::OutputFolder& out, std::string stem)
      : scene_(scene),
        edge_(edge),
        op_(scene.job.operations[edge.operation]),
        wanted_(wanted_form(op_, scene.job.bits[op_.bit])),
        stock_(from_below() ? turned_stock(scene.job.stock) : scene.job.stock),
        out_(out),
        stem_(std::move(stem)) {}

  std::vector<Picture> pictures;  // what has been asked for

  void section(const Station& station, const char* which) {
    const Section section = seen(station);
    const std::string place = fmt::format("{} place: {:.1f} mm along the contour, at ({:.1f}, {:.1f}) mm{}",
                                          which, station.s, station.point.x, station.point.y, lying());
    SectionMeasures measures = station.measures;
    if (from_below()) std::reverse(measures.exposure.begin(), measures.exposure.end());
    drawing(fmt::format("{}-section-{}", stem_, which),
            render::draw_section({section, measures, stock_, wanted_, op_.name, place, scene_.job.wishes}));
  }

  void along() { drawing(stem_ + "-along", render::draw_along({edge_, standard(), op_.name})); }

  void marks(const EdgeFinish& finish) {
    if (finish.marks.tallest <= 0) return;
    const auto at = std::min_element(
        edge_.stations.begin(), edge_.stations.end(), [&](const Station& a, const Station& b) {
          return distance(a.point, finish.marks_at) < distance(b.point, finish.marks_at);
        });
    const Section section = seen(*at);
    const std::string place = fmt::format("{:.1f} mm along the contour, at ({:.1f}, {:.1f}) mm{}", at->s,
                                          at->point.x, at->point.y, lying());
    drawing(stem_ + "-marks", render::draw_marks({section, stock_, finish.marks,
                                                  scene_.job.shop.sand_limits.feel, op_.name, place}));
  }

  void close_up(const Station& station) {
    pictures.push_back({stem_ + "-close-up.png", [this, &station] { return close_up_png(station); }});
  }

  render::Standard standard() const { return {scene_.job.wishes, wanted_, scene_.job.stock}; }

 private:
  void drawing(const std::string& name, std::string svg) {
    out_.write(name + ".svg", svg);
    pictures.push_back({name + ".png", [svg = std::move(svg)] { return drawing_png(svg); }});
  }
  std::string close_up_png(const Station& station) const {
    const Contour contour =
        scene_.job.contours[static_cast<std::size_t>(op_.contour)].contour.translated(edge_.copies.front());
    render::CloseUpView view = render::close_up_view(station, wanted_, scene_.job.stock);
    if (edge_.other) {  // both faces are moulded: all of the edge is shown
      const double thickness = scene_.job.stock.thickness();
      view.field_width = std::max(view.field_width, 2.4 * thickness);
      view.target.y = -thickness / 2;
    }
    const bool folded = needs_voxels(scene_.job);
    Heightfield field;
    std::optional<FinishedSheet> sheet;
    if (folded) {
      sheet.emplace(scene_.job, scene_.plan, scene_.index, SolidOf::part);
    } else {
      CarveOptions options;
      options.cell = render::close_up_cell(view);
      options.window = render::close_up_window(view, scene_.job.stock);
      field = carve(scene_.job, scene_.plan, scene_.index, options);
    }
    return render::encode_png(
        render::draw_close_up({field, scene_.job.stock, contour, op_.keep, view, op_.name,
                               folded ? nullptr : &station.measures, true, sheet ? &*sheet : nullptr}));
  }
  // What is moulded on the lower face alone is drawn with that face up.
  bool from_below() const { return edge_.face == Face::bottom && !edge_.other; }
  const char* lying() const { return from_below() ? "; lower face up" : ""; }
  Section seen(const Station& station) const {
    SectionMaker maker(scene_.job, scene_.plan, scene_.index);
    Section section = maker.make({station.point, station.normal, station.reach});
    return from_below() ? turned_section(section) : section;
  }

  const Prepared& scene_;
  const EdgeMeasures& edge_;
  const Operation& op_;
  WantedForm wanted_;
  Stock stock_;  // as it lies in the drawings
  io::OutputFolder& out_;
  std::string stem_;
};

}  // namespace

std::vector<io::EdgeView> edge_views(const Prepared& scene, const Measures& measures) {
  std::vector<io::EdgeView> views;
  for (const EdgeMeasures& edge : measures.edges) {
    const Operation& op = scene.job.operations[edge.operation];
    const WantedForm wanted = wanted_form(op, scene.job.bits[op.bit]);
    views.push_back({render::shown_station(edge, {scene.job.wishes, wanted, scene.job.stock}), {}});
  }
  return views;
}

void draw_pictures(const Prepared& scene, const Measures& measures, const ShopEstimate& shop,
                   const Heightfield* field, io::OutputFolder& out, std::vector<io::EdgeView>& views,
                   Progress* progress) {
  const double steps = static_cast<double>(measures.edges.size()) + 1;
  double done = 0;
  const auto step = [&] {
    if (progress) progress->report("drawing", done++ / steps);
  };
  for (std::size_t i = 0; i < measures.edges.size(); ++i) {
    step();
    const EdgeMeasures& edge = measures.edges[i];
    EdgePictures edge_pictures(
        scene, edge, out, fmt::format("{}-{}", i + 1, file_stem(scene.job.operations[edge.operation].name)));
    const bool close_up = views[i].station.has_value();
    if (close_up) edge_pictures.close_up(edge.stations[*views[i].station]);
    const auto worst = render::worst_station(edge, edge_pictures.standard());
    if (worst) edge_pictures.section(edge.stations[*worst], "worst");
    const auto typical = render::typical_station(edge, edge_pictures.standard());
    if (typical) edge_pictures.section(edge.stations[*typical], "typical");
    edge_pictures.along();
    edge_pictures.marks(shop.edges[i]);
    const std::vector<Picture>& pictures = edge_pictures.pictures;
    std::vector<std::string> png(pictures.size());
    parallel_for(pictures.size(), [&](std::size_t k) { png[k] = pictures[k].png(); });
    for (std::size_t k = 0; k < png.size(); ++k) out.write(pictures[k].name, png[k]);
    if (close_up) views[i].close_up = std::move(png.front());
  }
  step();
  Heightfield seen;
  if (!field) {
    const FinishedSheet sheet(scene.job, scene.plan, scene.index, SolidOf::sheet);
    seen = seen_from_above(sheet, std::max(scene.job.stock.width, scene.job.stock.height) / 1600);
  }
  render::TopView top{field ? *field : seen, scene.job.stock, render::edge_contours(scene.job),
                      render::worst_marks(scene.job, measures), scene.job.title};
  out.write("sheet.png", render::encode_png(render::draw_top(top)));
}

}  // namespace ovolo::cli
