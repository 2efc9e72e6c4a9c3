#include <catch2/catch.hpp>
#include <pugixml.hpp>
#include <string>

#include "render/bit_plot.hpp"
#include "sim/bit/forms.hpp"
#include "tests/render/drawing_check.hpp"

using namespace ovolo;
using namespace ovolo::render;

namespace {

BitDrawing roundover(const std::string& name, double radius, double depth) {
  RoundoverReadings readings;
  readings.radius = radius;
  readings.working_depth = depth;
  return {name,
          point_roundover(derive_roundover(readings), 8),
          depth,
          0.4,
          {"point roundover", "works that deep"}};
}

/// Left and right end, px, of the outline drawn in ink.
std::pair<double, double> span(const std::string& data) {
  double lo = 1e9, hi = -1e9;
  std::size_t i = 0;
  while ((i = data.find_first_of("ML", i)) != std::string::npos) {
    const double x = std::stod(data.substr(++i));
    lo = std::min(lo, x);
    hi = std::max(hi, x);
  }
  return {lo, hi};
}

}  // namespace

TEST_CASE("bits are drawn to one scale, their labels clear of each other", "[render]") {
  const std::vector<BitDrawing> bits{roundover("a", 5, 3.62),
                                     roundover("b", 10, 8),
                                     {"mill", straight(6, 20), 0, 6, {"straight"}},
                                     {"chamfer", chamfer(0.785398, 1, 16, 4), 7.5, 1, {}},
                                     roundover("fifth", 2, 1.9)};
  const std::string svg = bit_plot(bits, "bits of the shop <1>");
  const auto texts = drawing_check::texts(svg);
  CHECK(drawing_check::overlaps(texts).empty());
  CHECK(drawing_check::contains(texts, "3.62 mm"));
  CHECK(drawing_check::contains(texts, "0.143 in"));
  CHECK(drawing_check::contains(texts, "flat 0.4 mm (0.016 in)"));
  CHECK(drawing_check::contains(texts, "10 mm (0.394 in)"));
  CHECK(drawing_check::contains(texts, "bits of the shop <1>"));
  pugi::xml_document document;
  REQUIRE(document.load_string(svg.c_str()));
  const pugi::xml_node root = document.document_element();
  CHECK(
      drawing_check::outside(texts, root.attribute("width").as_double(), root.attribute("height").as_double())
          .empty());
  CHECK(drawing_check::smallest(texts) >= 12);
  std::vector<double> widths;
  for (const auto& found : root.select_nodes("//g")) {
    std::vector<std::string> outlines;
    for (const pugi::xml_node path : found.node().children("path"))
      if (std::string_view(path.attribute("fill").value()) == "none" || path.attribute("stroke"))
        outlines.push_back(path.attribute("d").value());
    if (outlines.empty()) continue;
    double widest = 0;
    for (const std::string& d : outlines) widest = std::max(widest, span(d).second - span(d).first);
    widths.push_back(widest);
  }
  REQUIRE(widths.size() == bits.size());
  for (std::size_t i = 0; i < bits.size(); ++i)
    CHECK(widths[i] / widths[0] ==
          Approx(bits[i].profile.cutting_radius() / bits[0].profile.cutting_radius()).epsilon(0.01));
}

TEST_CASE("bits without a profile are left out of the drawing", "[render]") {
  CHECK_THROWS_AS(bit_plot({{"empty", Profile(), 0, 0, {}}}, "none"), std::invalid_argument);
}
