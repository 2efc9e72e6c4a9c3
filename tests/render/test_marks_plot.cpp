#include <catch2/catch.hpp>
#include <string>

#include "render/marks_plot.hpp"
#include "sim/bit/forms.hpp"
#include "tests/render/drawing_check.hpp"
#include "tests/render/samples.hpp"

using namespace ovolo;
using namespace ovolo::render;

namespace {

std::string plot_of(double feed, double working_depth, double offset, bool inch = false) {
  const samples::Cut cut{5, working_depth, working_depth - 0.07, offset};
  RoundoverReadings readings;
  readings.radius = 5;
  readings.working_depth = working_depth;
  const Profile bit = point_roundover(derive_roundover(readings), 10);
  const MarkSettings settings{feed, 18000, 2, 0.02, Direction::conventional};
  const CurveMarks marks = curve_marks(places_of_pass(bit, offset, cut.depth), {settings});
  return draw_marks({samples::section(cut), samples::three_layers(), marks, 0.010, "round the rim",
                     "1112.7 mm along the contour, at (200.0, 35.0) mm; lower face up", inch});
}

}  // namespace

TEST_CASE("the plot of feed marks tells their cause, height and bands", "[render][shop]") {
  const std::string svg = plot_of(2540, 3.62, 0.4);
  const auto texts = drawing_check::texts(svg);
  for (const char* part : {"round the rim: feed marks", "2540 mm/min (100 in/min)", "18000 rpm",
                           "1 of 2 flutes mark, 180 to the inch", "custom and premium", "nearest the tip",
                           "Rz ", "Ra ", "5.2 µm high", "crest height", "lower face up"}) {
    INFO(part);
    CHECK(drawing_check::contains(texts, part));
  }
  CHECK(drawing_check::contains(texts, "felt above 10 µm"));
  CHECK_FALSE(drawing_check::contains(drawing_check::texts(plot_of(900, 3.62, 0.4)), "felt above"));
}

TEST_CASE("labels of the plot of feed marks never overlap", "[render][shop]") {
  for (const auto& [feed, depth, offset] : {std::tuple{2540.0, 3.62, 0.4},
                                            {600.0, 3.62, 0.0},
                                            {9000.0, 4.5, 1.0},
                                            {2540.0, 5.0, 0.0},
                                            {20000.0, 4.9, 0.1}}) {
    for (const bool inch : {false, true}) {
      const auto texts = drawing_check::texts(plot_of(feed, depth, offset, inch));
      INFO(feed << " " << depth << " " << offset << " " << inch);
      CHECK(drawing_check::overlaps(texts) == std::vector<std::string>{});
      CHECK(drawing_check::outside(texts, 1200, 640) == std::vector<std::string>{});
      CHECK(drawing_check::smallest(texts) >= 12);
    }
  }
}

TEST_CASE("the plot of feed marks has inches on the left for a scene in inches", "[render][shop][inch]") {
  const auto texts = drawing_check::texts(plot_of(2540, 3.62, 0.4, true));
  for (const char* part : {"0.20 thou high", "inch along the curve", "µin", "felt above 0.39 thou"})
    CHECK(drawing_check::contains(texts, part));
}
