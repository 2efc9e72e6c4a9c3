#include "io/cli/pictures.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>

#include "render/along_plot.hpp"
#include "render/close_up.hpp"
#include "render/png.hpp"
#include "render/raster.hpp"
#include "render/section_plot.hpp"
#include "render/top_view.hpp"
#include "sim/carve/carve.hpp"
#include "sim/measure/section.hpp"
#include "sim/measure/verdict.hpp"

namespace ovolo::cli {
namespace {

constexpr double kTie = 1e-3;  // of a wish: stations nearer than this are equally bad

// "round the rim" to "round-the-rim".
std::string file_stem(const std::string& name) {
  std::string out;
  for (const char c : name) {
    if (std::isalnum(static_cast<unsigned char>(c)))
      out += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    else if (!out.empty() && out.back() != '-')
      out += '-';
  }
  while (!out.empty() && out.back() == '-') out.pop_back();
  return out.substr(0, 40);
}

void save(io::OutputFolder& out, const std::string& name, const std::string& svg) {
  out.write(name + ".svg", svg);
  out.write(name + ".png", render::encode_png(render::rasterize(svg, 1.5)));
}

class EdgePictures {
 public:
  EdgePictures(const Prepared& scene, const EdgeMeasures& edge, io::OutputFolder& out, std::string stem)
      : scene_(scene),
        edge_(edge),
        op_(scene.job.operations[edge.operation]),
        wanted_(wanted_form(op_, scene.job.bits[op_.bit])),
        out_(out),
        stem_(std::move(stem)) {}

  void section(const Station& station, const char* which) const {
    SectionMaker maker(scene_.job, scene_.plan, scene_.index);
    const Section section = maker.make({station.point, station.normal, station.reach});
    const std::string place = fmt::format("{} place: {:.1f} mm along the contour, at ({:.1f}, {:.1f}) mm",
                                          which, station.s, station.point.x, station.point.y);
    save(out_, fmt::format("{}-section-{}", stem_, which),
         render::draw_section(
             {section, station.measures, scene_.job.stock, wanted_, op_.name, place, scene_.job.wishes}));
  }

  void along() const {
    save(out_, stem_ + "-along", render::draw_along({edge_, scene_.job.wishes, op_.name}));
  }

  void close_up(const Station& station) const {
    const Contour contour =
        scene_.job.contours[static_cast<std::size_t>(op_.contour)].contour.translated(edge_.copies.front());
    const render::CloseUpView view = render::close_up_view(station, wanted_, scene_.job.stock);
    CarveOptions options;
    options.cell = render::close_up_cell(view);
    options.window = render::close_up_window(view, scene_.job.stock);
    const Heightfield field = carve(scene_.job, scene_.plan, scene_.index, options);
    const render::Image image = render::draw_close_up(
        {field, scene_.job.stock, contour, op_.keep, view, op_.name, &station.measures, true});
    out_.write(stem_ + "-close-up.png", render::encode_png(image));
  }

 private:
  const Prepared& scene_;
  const EdgeMeasures& edge_;
  const Operation& op_;
  WantedForm wanted_;
  io::OutputFolder& out_;
  std::string stem_;
};

}  // namespace

const Station* worst_station(const EdgeMeasures& edge, const Wishes& wishes) {
  const Station* worst = nullptr;
  double most = 0;
  for (const Station& s : edge.stations) {
    if (s.kind != StationKind::edge || !s.measures.cut) continue;
    const auto over = [](const std::optional<double>& v, double wish) {
      return v ? *v / std::max(wish, 1e-4) : 0;
    };
    const double bad = std::max({over(s.measures.lip, wishes.lip), over(s.measures.band, wishes.band),
                                 over(s.measures.face_break, wishes.face_break),
                                 over(s.measures.wall_break, wishes.wall_break)});
    if (!worst || bad > most + kTie) {
      worst = &s;
      most = bad;
    }
  }
  return worst;
}

const Station* typical_station(const EdgeMeasures& edge) {
  const auto off = [](const std::optional<double>& v, const std::optional<Stat>& mean, double scale) {
    return v && mean ? std::abs(*v - mean->mean) / scale : 1;
  };
  const Station* best = nullptr;
  double least = 0;
  for (const Station& s : edge.stations) {
    if (s.kind != StationKind::edge || !s.measures.cut || !s.measures.meets_face) continue;
    const SectionMeasures& m = s.measures;
    const double d = off(m.lip, edge.lip, 0.1) + off(m.band, edge.band, 0.1) +
                     off(m.face_break, edge.face_break, 0.1) + off(m.wall_break, edge.wall_break, 0.1) +
                     off(m.foot_depth, edge.foot_depth, 0.1) -
                     1e-6 * s.weight;  // of equals the one that stands for most
    if (!best || d < least) {
      best = &s;
      least = d;
    }
  }
  return best;
}

void draw_pictures(const Prepared& scene, const Measures& measures, const Heightfield& field,
                   io::OutputFolder& out, Progress* progress) {
  const double steps = 4 * static_cast<double>(measures.edges.size()) + 1;
  double done = 0;
  const auto step = [&] {
    if (progress) progress->report("drawing", done++ / steps);
  };
  for (std::size_t i = 0; i < measures.edges.size(); ++i) {
    const EdgeMeasures& edge = measures.edges[i];
    const EdgePictures pictures(
        scene, edge, out, fmt::format("{}-{}", i + 1, file_stem(scene.job.operations[edge.operation].name)));
    step();
    const Station* worst = worst_station(edge, scene.job.wishes);
    if (worst) pictures.close_up(*worst);
    step();
    if (worst) pictures.section(*worst, "worst");
    step();
    if (const Station* typical = typical_station(edge)) pictures.section(*typical, "typical");
    step();
    pictures.along();
  }
  step();
  out.write("sheet.png", render::encode_png(render::draw_top({scene.job, measures, field})));
}

}  // namespace ovolo::cli
