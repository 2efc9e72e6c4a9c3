// Every drawing of every demo scene: its labels stay apart and on the paper.
#include <catch2/catch.hpp>
#include <filesystem>
#include <pugixml.hpp>

#include "io/scene/scene.hpp"
#include "render/pictures.hpp"
#include "sim/measure/folded_measures.hpp"
#include "sim/measure/section.hpp"
#include "sim/measure/verdict.hpp"
#include "sim/shop/estimate.hpp"
#include "tests/render/drawing_check.hpp"

using namespace ovolo;
using namespace ovolo::render;

namespace {

void check_labels(const std::string& svg) {
  pugi::xml_document document;
  REQUIRE(document.load_string(svg.c_str()));
  const pugi::xml_node root = document.document_element();
  const auto texts = drawing_check::texts(svg);
  CHECK_FALSE(texts.empty());
  CHECK(drawing_check::overlaps(texts) == std::vector<std::string>{});
  CHECK(drawing_check::outside(texts, root.attribute("width").as_double(),
                               root.attribute("height").as_double()) == std::vector<std::string>{});
}

}  // namespace

TEST_CASE("no label of a scene's drawings covers another", "[render]") {
  for (const auto& entry : std::filesystem::directory_iterator(OVOLO_SOURCE_DIR "/scenes")) {
    if (entry.path().extension() != ".toml") continue;
    INFO(entry.path().filename().string());
    const Job job = io::read_scene(entry.path());
    const Plan plan = make_plan(job);
    const MoveIndex index(plan, job);
    const Measures measures = measure(job, plan, index);
    const ShopEstimate shop = estimate(job, plan, index, measures);
    SectionMaker maker(job, plan, index);
    for (std::size_t i = 0; i < measures.edges.size(); ++i) {
      const EdgeMeasures& edge = measures.edges[i];
      const Operation& op = job.operations[edge.operation];
      INFO(op.name);
      const WantedForm wanted = wanted_form(op, job.bits[op.bit]);
      check_labels(draw_along({edge, {job.wishes, wanted, job.stock}, op.name, job.inch}));
      // The worst, the usual and some places between.
      std::vector<std::size_t> places{0, edge.stations.size() / 5, edge.stations.size() / 2};
      if (const auto worst = worst_station(edge, {job.wishes, wanted, job.stock})) places.push_back(*worst);
      for (const std::size_t k : places) {
        if (k >= edge.stations.size()) continue;
        const Station& s = edge.stations[k];
        const Section section = maker.make({s.point, s.normal, s.reach});
        check_labels(draw_section(
            {section, s.measures, job.stock, wanted, op.name, "a place", job.wishes, nullptr, job.inch}));
        if (i < shop.edges.size() && shop.edges[i].marks.tallest > 0)
          check_labels(draw_marks({section, job.stock, shop.edges[i].marks, job.shop.sand_limits.feel,
                                   op.name, "a place", job.inch}));
      }
    }
  }
}
