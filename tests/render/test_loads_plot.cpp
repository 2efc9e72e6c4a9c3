#include <catch2/catch.hpp>

#include "render/loads_plot.hpp"
#include "tests/render/drawing_check.hpp"

using namespace ovolo;
using namespace ovolo::render;

namespace {

LoadsPlot plot_of(std::size_t passes, std::size_t places) {
  LoadsPlot plot;
  plot.title = "round the rim";
  for (std::size_t k = 0; k < passes; ++k) {
    PassLoad p;
    p.pass = static_cast<std::uint32_t>(k);
    p.length = 100;
    p.section.max = 9.9 + static_cast<double>(k);
    p.chip_load = 0.071;
    p.power.value = 21;
    p.index.value = 18.3;
    p.volume = 9302;
    for (std::size_t i = 0; i < places; ++i) {
      LoadPlace at;
      at.s = 100 * (static_cast<double>(i) + 0.5) / static_cast<double>(places);
      at.section = i == 3 ? 12 : 9;
      at.power = 20;
      at.index = 18;
      p.along.push_back(at);
    }
    plot.passes.push_back(p);
    plot.depths.push_back(2.4 + static_cast<double>(k));
  }
  return plot;
}

}  // namespace

TEST_CASE("the plot of loads names every pass and quantity with its unit", "[render][shop]") {
  const auto texts = drawing_check::texts(draw_loads(plot_of(2, 20)));
  for (const char* part : {"round the rim: loads along each pass", "pass 1: 2.400 mm (0.0945 in)", "pass 2",
                           "section removed", "mm²", "in²", "cutting power",
                           "tip load, in % of the strength assumed", "most 10.90 mm², 21 W, tip load 18.3 %",
                           "0.071 mm (0.0028 in) a tooth", "9302 mm³ (0.568 in³)", "inch of the pass"}) {
    INFO(part);
    CHECK(drawing_check::contains(texts, part));
  }
}

TEST_CASE("labels of the plot of loads never overlap", "[render][shop]") {
  for (const auto& [passes, places] :
       {std::pair<std::size_t, std::size_t>{1, 1}, {2, 20}, {5, 20}, {6, 20}, {8, 200}, {30, 5}}) {
    LoadsPlot plot = plot_of(passes, places);
    for (const bool inch : {false, true}) {
      plot.inch = inch;
      const auto texts = drawing_check::texts(draw_loads(plot));
      INFO(passes << " " << places << " " << inch);
      CHECK(drawing_check::contains(texts, inch ? "most 0.0153 in²" : "most 9.90 mm²"));
      CHECK(drawing_check::overlaps(texts) == std::vector<std::string>{});
      CHECK(drawing_check::outside(texts, 1200, 676) == std::vector<std::string>{});
      CHECK(drawing_check::smallest(texts) >= 12);
    }
  }
}
