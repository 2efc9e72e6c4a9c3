#include "io/cli/pictures.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <functional>
#include <memory>
#include <optional>
#include <thread>

#include "io/cli/edge_close_up.hpp"
#include "io/cli/picture_files.hpp"
#include "io/cli/terminal.hpp"
#include "io/in_units.hpp"
#include "io/report/undercut_window.hpp"
#include "io/report/window.hpp"
#include "render/pictures.hpp"
#include "sim/advise/dial.hpp"
#include "sim/measure/across.hpp"
#include "sim/measure/folded_measures.hpp"
#include "sim/measure/section.hpp"
#include "sim/measure/verdict.hpp"
#include "sim/parallel.hpp"
#include "sim/solid/seen_from_above.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo::cli {
namespace {

// Edges beyond these are not told the setting to use: finding it takes the better part of a second.
constexpr std::size_t kMostDialed = 6;

class EdgePictures {
 public:
  EdgePictures(const Prepared& scene, const EdgeMeasures& edge, std::string stem)
      : scene_(scene),
        edge_(edge),
        op_(scene.job.operations[edge.operation]),
        wanted_(wanted_form(op_, scene.job.bits[op_.bit])),
        stock_(from_below() ? turned_stock(scene.job.stock) : scene.job.stock),
        stem_(std::move(stem)),
        say_(scene.job.inch) {}

  PictureFiles section(const Station& station, const char* which) const {
    const Section section = seen(station);
    const std::optional<Section> across = seen_across(station, section);
    const std::string place = fmt::format("{} place: {} along the contour, at {}{}", which,
                                          say_.both(station.s, 1), say_.both_places(station.point), lying());
    SectionMeasures measures = station.measures;
    if (from_below()) std::reverse(measures.exposure.begin(), measures.exposure.end());
    return drawing_files(fmt::format("{}-section-{}", stem_, which),
                         render::draw_section({section, measures, stock_, wanted_, op_.name, place,
                                               scene_.job.wishes, across ? &*across : nullptr, say_.inch()}),
                         say_);
  }

  PictureFiles along() const {
    return drawing_files(stem_ + "-along", render::draw_along({edge_, standard(), op_.name, say_.inch()}),
                         say_);
  }

  PictureFiles marks(const EdgeFinish& finish) const {
    if (finish.marks.tallest <= 0) return {};
    const auto at = std::min_element(
        edge_.stations.begin(), edge_.stations.end(), [&](const Station& a, const Station& b) {
          return distance(a.point, finish.marks_at) < distance(b.point, finish.marks_at);
        });
    const Section section = seen(*at);
    const std::string place = fmt::format("{} along the contour, at {}{}", say_.both(at->s, 1),
                                          say_.both_places(at->point), lying());
    return drawing_files(stem_ + "-marks",
                         render::draw_marks({section, stock_, finish.marks, scene_.job.shop.sand_limits.feel,
                                             op_.name, place, say_.inch()}),
                         say_);
  }

  PictureFiles loads(const std::vector<PassLoad>& all) const {
    render::LoadsPlot plot;
    for (const PassLoad& p : all) {
      if (p.operation != edge_.operation || p.along.empty()) continue;
      if (p.pass < op_.passes.size()) plot.depths.push_back(op_.passes[p.pass]);
      plot.passes.push_back(p);
    }
    if (plot.depths.size() != plot.passes.size()) plot.depths.clear();
    if (plot.passes.empty()) return {};
    plot.title = op_.name;
    plot.inch = say_.inch();
    return drawing_files(stem_ + "-loads", render::draw_loads(plot), say_);
  }

  PictureFiles close_up(const Station& station) const {
    using Units = render::CloseUpLetters::Units;
    const render::Image image = edge_close_up(scene_.job, scene_.plan, scene_.index, edge_, station,
                                              {1600,
                                               1000,
                                               op_.name,
                                               true,
                                               check_interrupt,
                                               {0, say_.inch() ? Units::both_inch_first : Units::both}});
    return {{stem_ + "-close-up.png", render::encode_png(image)}};
  }

  bool undercut() const { return scene_.job.bits[op_.bit].profile.undercut(); }

  // Which settings would do.
  std::string window(const io::EdgeView& view) const {
    const Job& job = scene_.job;
    if (op_.depth <= 0) return {};  // a program that never passes its contour
    if (const std::string reason = io::no_window(job, op_); !reason.empty())
      return io::no_window_json(reason);
    const bool works = edge_.verdict.good || view.cure.setting;
    const io::SettingWindow map = undercut() ? io::undercut_window(job, edge_.operation, check_interrupt)
                                             : io::make_window(job, edge_.operation, op_.depth, op_.offset);
    return io::window_json(map, view.dialed ? &*view.dialed : nullptr, works, view.cure.setting);
  }

  render::Standard standard() const { return {scene_.job.wishes, wanted_, scene_.job.stock}; }

 private:
  // What is moulded on the lower face alone is drawn with that face up.
  bool from_below() const { return ovolo::from_below(edge_); }
  const char* lying() const { return from_below() ? "; lower face up" : ""; }
  Section seen(const Station& station) const {
    SectionMaker maker(scene_.job, scene_.plan, scene_.index);
    Section section = maker.make({station.point, station.normal, station.reach});
    return from_below() ? turned_section(section) : section;
  }
  // The other wall of a slot, to be seen beside `own`.
  std::optional<Section> seen_across(const Station& station, const Section& own) const {
    SectionMaker maker(scene_.job, scene_.plan, scene_.index);
    const Section flat = from_below() ? turned_section(own) : own;
    std::optional<Section> across = across_the_line(maker, scene_.job.stock, station, flat, station.reach);
    if (across && from_below()) across = turned_section(*across);
    return across;
  }

  const Prepared& scene_;
  const EdgeMeasures& edge_;
  const Operation& op_;
  WantedForm wanted_;
  Stock stock_;  // as it lies in the drawings
  std::string stem_;
  io::InUnits say_;
};

void find_setting(const Prepared& scene, const Measures& measures, std::size_t i, io::EdgeView& view) {
  const std::uint32_t operation = measures.edges[i].operation;
  if (i >= kMostDialed) return;
  if (!needs_voxels(scene.job) && can_be_dialled(scene.job.operations[operation]))
    view.dialed = dial_edge(scene.job, operation, scene.job.errors, check_interrupt);
  view.cure = find_cure(scene.job, measures.edges[i], view.dialed);
}

}  // namespace

std::vector<io::EdgeView> edge_views(const Prepared& scene, const Measures& measures) {
  std::vector<io::EdgeView> views;
  for (const EdgeMeasures& edge : measures.edges) {
    const Operation& op = scene.job.operations[edge.operation];
    const WantedForm wanted = wanted_form(op, scene.job.bits[op.bit]);
    views.push_back({render::worst_station(edge, {scene.job.wishes, wanted, scene.job.stock}), {}, {}, {}});
  }
  return views;
}

void find_settings(const Prepared& scene, const Measures& measures, std::vector<io::EdgeView>& views) {
  parallel_for(views.size(), [&](std::size_t i) { find_setting(scene, measures, i, views[i]); });
}

void draw_pictures(const Prepared& scene, const Measures& measures, const ShopEstimate& shop,
                   const Heightfield* field, io::OutputFolder& out, std::vector<io::EdgeView>& views,
                   Progress* progress) {
  // Each picture by itself, so that none waits for another; written in their order afterwards. The longest
  // that one thread draws alone come first, so that none is left alone at the end.
  std::vector<std::function<PictureFiles()>> pictures;
  for (std::size_t i = 0; i < measures.edges.size(); ++i) {
    const EdgeMeasures& edge = measures.edges[i];
    const auto of_edge = std::make_shared<const EdgePictures>(
        scene, edge, fmt::format("{}-{}", i + 1, file_stem(scene.job.operations[edge.operation].name)));
    io::EdgeView& view = views[i];
    pictures.emplace_back([&scene, &measures, of_edge, &view, i] {
      find_setting(scene, measures, i, view);
      if (i < kMostDialed || !of_edge->undercut()) view.window = of_edge->window(view);
      return PictureFiles{};
    });
    if (view.station)
      pictures.emplace_back([of_edge, &edge, &view] {
        PictureFiles files = of_edge->close_up(edge.stations[*view.station]);
        view.close_up = files.front().second;
        return files;
      });
    if (const auto worst = render::worst_station(edge, of_edge->standard()))
      pictures.emplace_back(
          [of_edge, &edge, worst] { return of_edge->section(edge.stations[*worst], "worst"); });
    if (const auto typical = render::typical_station(edge, of_edge->standard()))
      pictures.emplace_back(
          [of_edge, &edge, typical] { return of_edge->section(edge.stations[*typical], "typical"); });
    pictures.emplace_back([of_edge] { return of_edge->along(); });
    const auto kept_too = [](PictureFiles files, std::string& drawing) {
      for (const auto& [name, bytes] : files)
        if (name.ends_with(".svg")) drawing = bytes;
      return files;
    };
    pictures.emplace_back([of_edge, &finish = shop.edges[i], &view, kept_too] {
      return kept_too(of_edge->marks(finish), view.marks);
    });
    pictures.emplace_back([of_edge, &loads = shop.loads, &view, kept_too] {
      return kept_too(of_edge->loads(loads), view.loads);
    });
  }
  pictures.emplace_back([&] {
    Heightfield seen;
    if (!field) {
      const FinishedSheet sheet(scene.job, scene.plan, scene.index, SolidOf::sheet);
      seen = seen_from_above(sheet, std::max(scene.job.stock.width, scene.job.stock.height) / 1600,
                             check_interrupt);
    }
    render::TopView top{field ? *field : seen, scene.job.stock, render::edge_contours(scene.job),
                        render::worst_marks(scene.job, measures), scene.job.title};
    top.inch = scene.job.inch;
    for (render::TopMark& mark : top.marks) mark.value = io::InUnits(top.inch).sentence(mark.value);
    return PictureFiles{{"sheet.png", render::encode_png(render::draw_top(top))}};
  });

  std::vector<PictureFiles> files(pictures.size());
  const auto caller = std::this_thread::get_id();  // the one thread that progress is told from
  std::atomic<std::size_t> done = 0;
  parallel_for(pictures.size(), [&](std::size_t i) {
    check_interrupt();  // whichever thread comes to the next picture
    files[i] = pictures[i]();
    const std::size_t now = ++done;
    if (progress && std::this_thread::get_id() == caller)
      progress->report("drawing", static_cast<double>(now) / static_cast<double>(pictures.size()));
  });
  for (const PictureFiles& list : files)
    for (const auto& [name, bytes] : list) out.write(name, bytes);
}

}  // namespace ovolo::cli
