// The map of depth against offset, its picture, and the reports of the dial.
#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>

#include "io/report/dial.hpp"
#include "render/raster.hpp"
#include "render/window_map.hpp"
#include "sim/advise/dial_map.hpp"
#include "sim/bit/forms.hpp"
#include "tests/support/roundover_bit.hpp"

using namespace ovolo;
using tests::roundover_bit;

namespace {

Job sign() {
  Job job;
  job.title = "Sign";
  job.stock.width = job.stock.height = 300;
  job.stock.layers = {{"cap", 3.1, {}}, {"core", 9.6, {}}};
  job.wishes.hidden = {"core"};
  job.bits.push_back(roundover_bit("round5", 5, 3.62, 25));
  Operation op;
  op.name = "rim & <edge>";
  op.contour = -1;
  op.depth = 3.55;
  op.offset = 0.4;
  job.operations.push_back(op);
  return job;
}

}  // namespace

TEST_CASE("contours of the map run where the chance is theirs", "[advise]") {
  const Job job = sign();
  const SettingErrors errors;
  const DialedEdge dialed = dial_edge(job, 0, errors);
  const DialMap map = make_dial_map(job, dialed, errors);
  CHECK(map.depth_lo < dialed.depth);
  CHECK(map.depth_hi > dialed.depth);
  CHECK(map.hidden_layer == "core");
  const EdgeCase edge = EdgeCase::of(job, 0);
  const EdgeOdds odds(edge.bit, edge.wanted, edge.stock, edge.wishes, errors);
  int points = 0;
  for (const auto& contour : map.contours)
    for (const auto& line : contour.lines)
      for (std::size_t i = 0; i < line.size(); i += 5) {
        CHECK(1 - odds.failure(line[i].y, line[i].x) == Approx(contour.chance).margin(0.02));
        ++points;
      }
  CHECK(points > 20);
}

TEST_CASE("the map is drawn with every region named, and reads as a picture", "[render][advise]") {
  const Job job = sign();
  const SettingErrors errors;
  const DialedEdge dialed = dial_edge(job, 0, errors);
  const std::string svg =
      render::draw_window_map({make_dial_map(job, dialed, errors), dialed, job.operations[0].name, "round5"});
  for (const char* name :
       {"lip above 0.015 mm", "face break above 15", "flat band above 0.1 mm", "wall break above 25", "core",
        "shows", "Setting to use", " in) deeper", "then lip", "then hidden layer", "rim &amp; &lt;edge&gt;"})
    CHECK(svg.find(name) != std::string::npos);
  const std::string inches = render::draw_window_map(
      {make_dial_map(job, dialed, errors), dialed, job.operations[0].name, "round5", true});
  for (const char* name :
       {"lip above 0.0006 in", "flat band above 0.0039 in (0.1 mm)", "depth, inch", "depth, mm"})
    CHECK(inches.find(name) != std::string::npos);
  const render::Image image = render::rasterize(svg);
  CHECK(image.width == 1200);
  CHECK(image.height == 900);
}

TEST_CASE("the dial's reports tell setting, chance and window", "[report][advise]") {
  Job job = sign();
  const SettingErrors errors;
  auto dialed = dial(job, errors);
  const std::string text = io::dial_text(job, dialed, errors);
  for (const char* part : {"set depth to 3.54", "chance of an edge within every wish: 96.", "deeper",
                           "hidden layer", "zeroed on the face"})
    CHECK(text.find(part) != std::string::npos);
  const auto json = nlohmann::json::parse(io::dial_json(job, dialed, errors, {"a.png"}));
  const auto& edge = json["edges"][0];
  CHECK(edge["depth_mm"].get<double>() == Approx(dialed[0].depth).margin(5e-5));
  CHECK(edge["chance"].get<double>() == Approx(1 - dialed[0].failure).margin(1e-6));
  CHECK(edge["window"]["deeper"]["breaks"] == "lip");
  CHECK(edge["broken_chance"]["face break"].get<double>() > 0);
  CHECK(edge["conflicts"].empty());
  CHECK(json["errors"]["z_mm"] == 0.03);

  job.stock.layers[0].thickness = 2;
  dialed = dial(job, errors);
  const std::string conflict = io::dial_text(job, dialed, errors);
  CHECK(conflict.find("NO SETTING meets the wishes for face break, wall break and hidden layer together") !=
        std::string::npos);
  CHECK(conflict.find("Any one of these would do") != std::string::npos);
  CHECK(nlohmann::json::parse(io::dial_json(job, dialed, errors, {}))["edges"][0]["conflicts"][0]["cures"]
            .size() >= 3);
}
