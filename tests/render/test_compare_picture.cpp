#include <algorithm>
#include <catch2/catch.hpp>
#include <deque>
#include <string>

#include "io/in_units.hpp"
#include "render/compare_picture.hpp"
#include "sim/bit/forms.hpp"
#include "sim/shop/curve_marks.hpp"
#include "tests/render/drawing_check.hpp"
#include "tests/render/samples.hpp"

using namespace ovolo;
using namespace ovolo::render;

namespace {

/// A made-up comparison of `n` strategies; each is finer, lighter and dearer than the one before.
struct Sample {
  std::deque<Section> sections;
  Stock stock = samples::three_layers();
  WantedForm wanted = WantedForm::round(5);
  std::deque<CurveMarks> marks;
  StrategyComparison comparison;
  std::vector<std::string> verdicts;

  explicit Sample(std::size_t n, const std::string& name = "two passes at 50 in/min") {
    const samples::Cut cut{5, 3.62, 3.55, 0.4};
    RoundoverReadings readings;
    readings.radius = 5;
    readings.working_depth = 3.62;
    const Profile bit = point_roundover(derive_roundover(readings), 10);
    for (std::size_t i = 0; i < n; ++i) {
      const double share = 1.0 / static_cast<double>(i + 1);
      sections.push_back(samples::section(cut));
      MarkSettings settings{2540 * share, 18000, 2, 0.02, Direction::conventional};
      marks.push_back(curve_marks(places_of_pass(bit, 0.4, 3.55), {settings}));
      StrategyFigures f;
      f.name = name + " " + std::string(1, static_cast<char>('a' + i));
      f.good = i != 2;
      f.tallest_mark = marks.back().tallest;
      f.chip_load = 0.07 * share;
      f.section = 9.9 * share;
      f.tip_index = Ranged{9 * share, 18 * share, 36 * share};
      CostShare c;
      c.machine_minutes = 2 / share;
      c.sanding_minutes = {0.3 * share, 0.6 * share, 1.2 * share};
      c.total = {2.9 / share, 3 / share, 3.2 / share};
      f.part = f.batch = c;
      comparison.figures.push_back(f);
      verdicts.push_back(f.good
                             ? "the edge is within every wish"
                             : "a lip of 1.38 mm (0.0543 in) at the face; set the depth to 3.62 mm or less");
    }
    comparison.finish.places = {{n - 1}, {0}};
    comparison.tip.places = {{0, n - 1}, {1}};
    comparison.cost.places = {{0}, {n - 1}};
    comparison.reasons = {
        "Finish: 'b' is best: its feed marks stand 1.4 um high where those of 'a' stand 5.2 um.",
        "Tip: no difference that matters.", "Cost: 'a' is best."};
  }

  ComparePicture picture(const Image& close_up = {}) const {
    std::vector<ComparePanel> panels;
    for (std::size_t i = 0; i < sections.size(); ++i)
      panels.push_back({sections[i], stock, wanted, marks[i], verdicts[i], close_up});
    return {"One pass or two", std::move(panels), comparison, 50, "EUR", "Sanding rates: a guess."};
  }
};

}  // namespace

TEST_CASE("strategies side by side: names, figures and reasons, none over another", "[render][shop]") {
  for (const std::size_t n : {2u, 3u, 5u}) {
    const Sample sample(n);
    const CompareDrawing drawing = lay_out_compare(sample.picture());
    const auto texts = drawing_check::texts(drawing.svg);
    for (const char* part :
         {"One pass or two", "two passes at 50", "tallest feed mark", "thou), best", "equally good",
          "3.00 EUR, best", "batch of 50", "Finish:", "Cost:", "a guess"}) {
      INFO(part);
      CHECK(drawing_check::contains(texts, part));
    }
    CHECK(drawing_check::overlaps(texts) == std::vector<std::string>{});
    CHECK(drawing_check::outside(texts, drawing.width, drawing.height) == std::vector<std::string>{});
    CHECK(drawing_check::smallest(texts) >= 12);
  }
}

TEST_CASE("a comparison says its words as its reader has them", "[render][shop]") {
  const Sample sample(2);
  ComparePicture picture = sample.picture();
  CHECK(drawing_check::contains(drawing_check::texts(lay_out_compare(picture).svg), "0.070 mm (0.0028 in)"));
  picture.words = [](std::string_view text) { return io::InUnits(true).sentence(text); };
  const auto texts = drawing_check::texts(lay_out_compare(picture).svg);
  CHECK(drawing_check::contains(texts, "0.0028 in (0.070 mm)"));
  CHECK(drawing_check::contains(texts, "thou ("));
  CHECK(!drawing_check::contains(texts, "mm ("));
  CHECK(drawing_check::overlaps(texts) == std::vector<std::string>{});
}

TEST_CASE("long names and many strategies still fit", "[render][shop]") {
  const Sample sample(
      12, "a strategy with a name that goes on and on far beyond the width of its column, to the end");
  const CompareDrawing drawing = lay_out_compare(sample.picture(Image(9, 6)));
  CHECK(drawing.close_ups.size() == 8);
  const auto texts = drawing_check::texts(drawing.svg);
  CHECK(drawing_check::overlaps(texts) == std::vector<std::string>{});
  CHECK(drawing_check::outside(texts, drawing.width, drawing.height) == std::vector<std::string>{});
}

TEST_CASE("the picture is the drawing with the close-ups laid in", "[render][shop]") {
  const Sample sample(2);
  Image red(90, 60);
  for (std::size_t i = 0; i < red.rgba.size(); i += 4) {
    red.rgba[i] = 200;
    red.rgba[i + 3] = 255;
  }
  const CompareDrawing drawing = lay_out_compare(sample.picture(red));
  REQUIRE(drawing.close_ups.size() == 2);
  const Image image = draw_compare(sample.picture(red), 1);
  CHECK(image.width == static_cast<int>(std::ceil(drawing.width)));
  for (const PixelBox& box : drawing.close_ups) {
    const std::uint8_t* p =
        image.pixel(static_cast<int>((box.lo.x + box.hi.x) / 2), static_cast<int>((box.lo.y + box.hi.y) / 2));
    CHECK(p[0] == 200);
    CHECK(p[1] == 0);
  }
  // A coarser advance stands taller along the feed: more of the marks' colour in the first column.
  const auto orange = [&](double lo, double hi) {
    int count = 0;
    for (int y = 0; y < image.height; ++y)
      for (int x = static_cast<int>(lo); x < static_cast<int>(hi); ++x) {
        const std::uint8_t* p = image.pixel(x, y);
        if (p[0] > 180 && p[1] > 60 && p[1] < 140 && p[2] < 80) ++count;
      }
    return count;
  };
  CHECK(orange(drawing.close_ups[0].lo.x, drawing.close_ups[0].hi.x) >
        1.2 * orange(drawing.close_ups[1].lo.x, drawing.close_ups[1].hi.x));
}
