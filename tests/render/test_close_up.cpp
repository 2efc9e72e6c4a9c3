#include <stb_image.h>

#include <atomic>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <memory>

#include "render/close_up.hpp"
#include "render/close_up_labels.hpp"
#include "render/grain.hpp"
#include "render/png.hpp"
#include "sim/error.hpp"
#include "sim/parallel.hpp"
#include "tests/render/drawing_check.hpp"
#include "tests/render/samples.hpp"

using namespace ovolo;
using namespace ovolo::render;

namespace {

/// A close-up of the sample edge, small and quick.
struct Shot {
  Stock stock = samples::three_layers();
  Contour contour = Contour::rectangle({200, 125}, {300, 180}, 15);
  SectionMeasures measures;
  Station station;
  CloseUpView view;
  Heightfield field;

  Shot(const samples::Cut& cut, double s, int width, double field_width = 0)
      : measures(samples::measures(cut)) {
    station.point = contour.point(s);
    station.normal = perp(contour.tangent(s));
    station.measures = measures;
    view = close_up_view(station, WantedForm::round(cut.radius), stock);
    if (field_width > 0) view.field_width = field_width;
    view.width = width;
    view.height = width * 5 / 8;
    field = samples::field(cut, contour, close_up_window(view, stock), close_up_cell(view), 13.7);
  }
  CloseUp picture(bool labels) const {
    return {field, stock, contour, Keep::inside, view, "round the rim", &measures, labels};
  }
  Image draw(bool labels = false) const { return draw_close_up(picture(labels)); }
};

int changed_pixels(const Image& a, const Image& b, int by) {
  int n = 0;
  for (int y = 0; y < a.height; ++y) {
    for (int x = 0; x < a.width; ++x) {
      int most = 0;
      for (int c = 0; c < 3; ++c) most = std::max(most, std::abs(a.pixel(x, y)[c] - b.pixel(x, y)[c]));
      n += most >= by ? 1 : 0;
    }
  }
  return n;
}

}  // namespace

TEST_CASE("a close-up ends where it is told to stop", "[render]") {
  const Shot shot(samples::Cut{}, 150, 80);
  for (const int after : {0, 20, 70}) {
    std::atomic<int> asked = 0;
    CloseUp picture = shot.picture(false);
    picture.stop = [&] {
      if (asked++ >= after) throw Interrupted();
    };
    CHECK_THROWS_AS(draw_close_up(picture), Interrupted);
  }
}

TEST_CASE("a close-up is the same for any number of threads", "[render]") {
  const Shot shot({5, 3.62, 5, 0}, 290, 320);
  Image one, two;
  {
    const ThreadLimit limit(1);
    one = shot.draw(true);
  }
  {
    const ThreadLimit limit(2);
    two = shot.draw(true);
  }
  CHECK(one.width == 320);
  CHECK(one.height == 200);
  CHECK(one.rgba == two.rgba);
}

TEST_CASE("a lip of 0.05 mm shows in raking light", "[render]") {
  // Same cut, its face lifted by the lip or not; on the dark face, the harder case.
  const Image with = Shot({5, 3.62, 3.67, 0.3}, 100, 640, 8).draw();
  const Image without = Shot({5, 3.62, 3.62, 0.3}, 100, 640, 8).draw();
  // 0.05 mm is 4 px of 640 over 8 mm: along the edge that is a line some pixels wide across the picture.
  CHECK(changed_pixels(with, without, 12) > 500);
}

TEST_CASE("a close-up shows the layers, light and shade", "[render]") {
  const Shot shot({5, 3.62, 5, 0}, 100, 400);
  const Image image = shot.draw();
  const Camera camera = close_up_camera(shot.view);
  const auto pixel_at = [&](Vec3 p) {
    const Vec2 at = camera.project(p);
    return image.pixel(static_cast<int>(at.x), static_cast<int>(at.y));
  };
  const std::uint8_t* cap = pixel_at({6.5, 0, -0.6});
  CHECK(cap[1] > cap[0] + 20);
  const std::uint8_t* core = pixel_at({6.5, 0, -4});
  CHECK(core[0] > 150);
  CHECK(core[0] > core[2]);
  // The upright lip is lit by the low sun, the level face is not as much.
  CHECK(pixel_at({samples::measures({5, 3.62, 5, 0}).round_width, 1, -0.7})[1] >
        pixel_at({6.5, 1, 0})[1] + 15);
  // The band is darker than the wall below it and the round above.
  const int band = pixel_at({0.1, 1, -5})[0];
  CHECK(band + 15 < pixel_at({0, 1, -5.5})[0]);
  CHECK(band + 15 < pixel_at({0.6, 1, samples::Cut{5, 3.62, 5, 0}.height(0.6)})[0]);
  // The corner under the lip is shaded against the open round.
  const samples::Cut cut{5, 3.62, 5, 0};
  CHECK(pixel_at({4.5, 1.5, cut.height(4.5)})[0] + 10 < pixel_at({2.5, 1.5, cut.height(2.5)})[0]);
}

TEST_CASE("labels of close-ups never overlap and give the measures", "[render]") {
  for (const double depth : {3.3, 3.55, 3.63, 3.67, 5.0}) {
    for (const double offset : {0.0, 0.1, 0.4}) {
      const Shot shot({5, 3.62, depth, offset}, 100, 1600 / 8);
      CloseUp picture = shot.picture(true);
      picture.view.width = 1600;
      picture.view.height = 1000;
      const auto texts = drawing_check::texts(close_up_drawing(picture));
      INFO("depth " << depth << " offset " << offset);
      CHECK(drawing_check::overlaps(texts) == std::vector<std::string>{});
      CHECK(drawing_check::outside(texts, 1600, 1000) == std::vector<std::string>{});
      CHECK(drawing_check::smallest(texts) >= 20);  // shown and printed at half its size
      CHECK(drawing_check::contains(texts, "round the rim"));
      CHECK(drawing_check::contains(texts, "core, 10.1 mm (0.398 in)"));
      CHECK(drawing_check::contains(texts, "in the cut"));
      CHECK(drawing_check::contains(texts, "foot at"));
      CHECK(drawing_check::contains(texts, "lip ") == (depth > 3.62));
      CHECK(drawing_check::contains(texts, "flat band ") == (offset < 0.19));
      if (depth == 5.0) CHECK(drawing_check::contains(texts, "lip 1.380 mm (0.0543 in)"));
    }
  }
}

// As the live page shows it on a phone: 360 css px at two pixels each, so that 22 px are 11.
TEST_CASE("labels of a narrow close-up are large and never overlap", "[render]") {
  for (const auto units : {CloseUpLetters::Units::mm, CloseUpLetters::Units::inch}) {
    for (const double depth : {3.3, 3.55, 3.63, 3.67, 5.0}) {
      for (const double offset : {0.0, 0.1, 0.4}) {
        const Shot shot({5, 3.62, depth, offset}, 100, 200);
        CloseUp picture = shot.picture(true);
        picture.view.width = picture.view.height = 720;
        picture.letters = {26, units};
        const auto texts = drawing_check::texts(close_up_drawing(picture));
        INFO("depth " << depth << " offset " << offset);
        CHECK(drawing_check::overlaps(texts) == std::vector<std::string>{});
        CHECK(drawing_check::outside(texts, 720, 720) == std::vector<std::string>{});
        CHECK(drawing_check::smallest(texts) >= 22);
        const bool inch = units == CloseUpLetters::Units::inch;
        CHECK(drawing_check::contains(texts, inch ? "core, 0.398 in" : "core, 10.1 mm"));
        CHECK(drawing_check::contains(texts, "foot at"));
        CHECK(drawing_check::contains(texts, "lip ") == (depth > 3.62));
        if (depth == 5.0) CHECK(drawing_check::contains(texts, inch ? "lip 0.0543 in" : "lip 1.380 mm"));
        CHECK(!drawing_check::contains(texts, "("));
      }
    }
  }
}

TEST_CASE("a close-up of an inch scene says inches first; a corner is told as an arris", "[render]") {
  const Shot shot({5, 3.62, 5, 0}, 100, 200);
  CloseUp picture = shot.picture(true);
  picture.view.width = 1600;
  picture.view.height = 1000;
  picture.letters.units = CloseUpLetters::Units::both_inch_first;
  const auto texts = drawing_check::texts(close_up_drawing(picture));
  CHECK(drawing_check::contains(texts, "lip 0.0543 in (1.380 mm)"));
  CHECK(drawing_check::contains(texts, "core, 0.398 in (10.1 mm)"));
  CHECK(!drawing_check::contains(texts, "mm ("));

  const Shot shallow({5, 3.62, 3.55, 0.4}, 100, 200);  // a face break of 9.6 degrees
  CloseUp corner = shallow.picture(true);
  corner.view.width = 1600;
  corner.view.height = 1000;
  CHECK(drawing_check::contains(drawing_check::texts(close_up_drawing(corner)), "face break 9.6\u00b0"));
  corner.arris = true;
  const auto told = drawing_check::texts(close_up_drawing(corner));
  CHECK(drawing_check::contains(told, "arris 170.4\u00b0"));
  CHECK(!drawing_check::contains(told, "face break"));
}

TEST_CASE("many thin layers are named once each, without overlap", "[render]") {
  for (const double thickness : {0.05, 0.25, 0.3, 0.5, 1.4}) {
    Shot shot({5, 3.62, 3.67, 0.1}, 100, 200);
    shot.stock.layers.clear();
    for (int i = 0; i < 24; ++i)
      shot.stock.layers.push_back({"ply " + std::to_string(i % 12), thickness, {190, 160, 120}});
    CloseUp picture = shot.picture(true);
    picture.view.width = 1600;
    picture.view.height = 1000;
    const auto texts = drawing_check::texts(close_up_drawing(picture));
    INFO(thickness);
    CHECK(drawing_check::overlaps(texts) == std::vector<std::string>{});
    CHECK(drawing_check::outside(texts, 1600, 1000) == std::vector<std::string>{});
  }
}

TEST_CASE("every corner of the view lies over the carved window", "[render]") {
  const Shot shot({5, 3.62, 5, 0}, 290, 200);
  const Box2 window = close_up_window(shot.view, shot.stock);
  CHECK(window.contains(shot.view.point));
  CHECK((window.hi.x - window.lo.x) / close_up_cell(shot.view) < 12000);
}

TEST_CASE("a close-up looks as approved", "[render]") {
  const Image now = Shot({5, 3.62, 5, 0}, 290, 240).draw();
  const std::string path = std::string(OVOLO_SOURCE_DIR) + "/tests/render/approved/close_up.png";
  if (std::getenv("OVOLO_APPROVE") != nullptr) write_png(path, now);
  int width = 0, height = 0, channels = 0;
  const std::unique_ptr<stbi_uc, void (*)(void*)> data(stbi_load(path.c_str(), &width, &height, &channels, 4),
                                                       stbi_image_free);
  REQUIRE(data != nullptr);
  Image approved(width, height);
  std::copy(data.get(), data.get() + approved.rgba.size(), approved.rgba.begin());
  CHECK(difference(now, approved) < 0.004);
}

TEST_CASE("materials are read from the layer's name", "[render]") {
  CHECK(grain_of("MDF core") == Grain::fibre);
  CHECK(grain_of("oak veneer") == Grain::wood);
  CHECK(grain_of("birch plywood") == Grain::wood);
  CHECK(grain_of("Hardwood") == Grain::wood);
  CHECK(grain_of("cap") == Grain::plastic);
  CHECK(grain_of("washed white") == Grain::plastic);
  CHECK(grain_of("soaked") == Grain::plastic);
  for (const Grain m : {Grain::plastic, Grain::wood, Grain::fibre}) {
    double sum = 0;
    for (int i = 0; i < 4000; ++i) {
      const double g = tone_at(m, {0.37 * i, 0.11 * i * i, -0.003 * i});
      CHECK(g > 0.75);
      CHECK(g < 1.25);
      sum += g;
    }
    CHECK(sum / 4000 == Approx(1).margin(0.02));
  }
}
