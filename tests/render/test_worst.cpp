#include <catch2/catch.hpp>

#include "render/worst.hpp"
#include "tests/render/samples.hpp"

using namespace ovolo;
using namespace ovolo::render;

TEST_CASE("the worst station is the one farthest beyond a wish", "[render]") {
  const Wishes wishes;
  const Stock stock = samples::three_layers();
  const WantedForm wanted = WantedForm::round(5);
  const Standard standard{wishes, wanted, stock};
  const Contour contour = Contour::circle({0, 0}, 50);
  EdgeMeasures edge = samples::edge({5, 3.62, 3.55, 0.4}, contour);
  REQUIRE(worst_station(edge, standard).has_value());
  edge.stations[7].measures.lip = 0.02;   // 1.33 times its wish
  edge.stations[9].measures.band = 0.11;  // 1.1 times
  CHECK(worst_station(edge, standard) == std::size_t{7});
  edge.stations[7].kind = StationKind::unreached;
  CHECK(worst_station(edge, standard) == std::size_t{9});
  CHECK(standing_text(standing(edge.stations[9].measures, standard), stock) ==
        "flat band 0.110 mm (0.0043 in)");
  const auto typical = typical_station(edge, standard);
  REQUIRE(typical.has_value());
  CHECK(standing(edge.stations[*typical].measures, standard).ratio < 1);
  for (Station& s : edge.stations) s.kind = StationKind::end;
  CHECK_FALSE(worst_station(edge, standard).has_value());
  CHECK_FALSE(typical_station(edge, standard).has_value());
}

TEST_CASE("a form's own breaks are not held against it, hidden layers and missing cuts are", "[render]") {
  Wishes wishes;
  const Stock stock = samples::three_layers();
  WantedForm level;  // a hollow that meets the wall level: 90 degrees by itself
  level.curve = {Segment::arc_between({0, -5}, {5, 0}, {0, 0}, true)};
  level.width = 5;
  level.depth = 5;
  const Standard standard{wishes, level, stock};
  SectionMeasures m;
  CHECK(standing_text(standing(m, standard), stock) == "not cut");
  m.cut = true;
  m.wall_break = 1.5707963267948966;
  m.foot_depth = 5;
  CHECK(standing(m, standard).ratio < 1);
  m.exposure = {1, 0.5, 0};
  CHECK(standing(m, standard).ratio < 1);
  wishes.hidden = {"core"};
  CHECK(standing(m, standard).ratio > 1);
  CHECK(standing_text(standing(m, standard), stock) == "core showing 0.500 mm (0.0197 in)");
  m.foot_depth.reset();
  CHECK(standing_text(standing(m, standard), stock) == "no foot on the wall");
}

TEST_CASE("pictures are taken in the middle of the longest equal stretch", "[render]") {
  const Wishes wishes;
  const Stock stock = samples::three_layers();
  const WantedForm wanted = WantedForm::round(5);
  const Standard standard{wishes, wanted, stock};
  EdgeMeasures edge = samples::edge({5, 3.62, 5, 0}, Contour::circle({0, 0}, 50));
  for (std::size_t i = 0; i < edge.stations.size(); ++i)
    edge.stations[i].measures.lip = i >= 40 && i <= 80 ? 2 : 1;
  edge.stations[3].measures.lip = 2;
  CHECK(worst_station(edge, standard) == std::size_t{60});
  edge.stations[55].curvature = 1;  // a joint in between
  CHECK(worst_station(edge, standard) == std::size_t{68});
}

TEST_CASE("pictures keep clear of sections that a sharp corner cuts short, unless those alone are bad",
          "[render]") {
  const Wishes wishes;
  const Stock stock = samples::three_layers();
  const WantedForm wanted = WantedForm::round(5);
  const Standard standard{wishes, wanted, stock};
  EdgeMeasures edge = samples::edge({5, 3.62, 5, 0}, Contour::circle({0, 0}, 50));
  for (Station& s : edge.stations) s.measures.lip = 1;
  for (std::size_t i = 10; i < 14; ++i) {
    edge.stations[i].measures.lip = 1.01;
    edge.stations[i].measures.meets_face = false;
  }
  edge.stations[9].measures.lip = 1.015;  // whole by its measures, but next to nothing of the face is in it
  edge.stations[9].reach = 1.1 * edge.stations[9].measures.round_width;
  for (std::size_t i = 30; i < 33; ++i) edge.stations[i].measures.lip = 1.005;
  CHECK(worst_station(edge, standard) == std::size_t{31});
  const auto typical = typical_station(edge, standard);
  REQUIRE(typical.has_value());
  CHECK(edge.stations[*typical].measures.meets_face);
  for (std::size_t i = 10; i < 14; ++i) edge.stations[i].measures.lip = 1.1;
  CHECK(worst_station(edge, standard) == std::size_t{12});
}
