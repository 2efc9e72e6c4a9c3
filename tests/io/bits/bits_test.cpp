#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "io/bits/bits_file.hpp"
#include "io/bits/table.hpp"
#include "io/scene/scene.hpp"

using namespace ovolo;
using namespace ovolo::io;

namespace {

Stock sheet() {
  Stock s;
  s.layers.push_back({"board", 10, {}});
  return s;
}

std::vector<Bit> parse(const std::string& text) { return parse_bits(text, "shop.toml", ".", sheet()).bits; }

std::string complaint(const std::string& text) {
  try {
    parse(text);
  } catch (const SceneError& error) {
    return error.what();
  }
  return "";
}

const double kDegree = std::acos(-1.0) / 180;

}  // namespace

TEST_CASE("a bits file's readings shape the bit, each with its own error", "[bits]") {
  const Bit bit = parse(R"(
[bits.round5]
form = "point_roundover"
radius = 5
date = 2024-05-02
readings = [
  { what = "working_depth", value = 3.70, error = 0.02, date = 2023-11-20 },
  { what = "working_depth", value = 3.60, error = 0.04 },
  { what = "working_depth", value = 3.64, error = 0.04 },
  { what = "tip_flat", value = "0.4 mm", error = 0.02 } ]
)")[0];
  REQUIRE(bit.readings.size() == 4);
  CHECK(bit.readings[0].date == "2023-11-20");
  CHECK(bit.readings[1].date == "2024-05-02");
  REQUIRE(bit.roundover);
  // The older reading does not count; the two newer ones are weighed alike: 0.04 / sqrt 2.
  CHECK(bit.roundover->working_depth == Approx(3.62));
  CHECK(bit.roundover->working_depth_error == Approx(0.04 / std::sqrt(2.0)));
  CHECK(bit.roundover->tip_radius == Approx(0.2));
  CHECK(bit.roundover->tip_radius_error == Approx(0.01));
}

TEST_CASE("readings weigh by the inverse square of their errors", "[bits]") {
  const Bit bit = parse(R"(
[bits.b]
form = "point_roundover"
radius = 5
readings = [ { what = "working_depth", value = 3.6, error = 0.01 }, { what = "working_depth", value = 3.7, error = 0.03 } ]
)")[0];
  CHECK(bit.roundover->working_depth == Approx(3.61));  // (9 * 3.6 + 3.7) / 10
  CHECK(bit.roundover->working_depth_error == Approx(0.03 / std::sqrt(10.0)));
}

TEST_CASE("readings carry their own errors into what is deduced", "[bits]") {
  // Tip flat and cutting diameter give W = R - sqrt(R^2 - (c - a)^2): the width's error enters by dW/dc = (c
  // - a)/h0.
  const Bit bit = parse(R"(
[bits.b]
form = "point_roundover"
radius = 6.35
readings = [ { what = "tip_flat", value = 1.0, error = 0.001 }, { what = "cutting_diameter", value = 12.7, error = 0.02 } ]
)")[0];
  const double run = 6.35 - 0.5, h0 = std::sqrt(6.35 * 6.35 - run * run);
  CHECK(bit.roundover->working_depth == Approx(6.35 - h0));
  CHECK(bit.roundover->working_depth_error == Approx(0.01 * run / h0).epsilon(0.02));
}

TEST_CASE("a bits file is as strict as a scene", "[bits]") {
  const std::string head = "[bits.b]\nform = \"point_roundover\"\nradius = 5\n";
  CHECK(complaint(head + "readings = [ { what = \"depth\", value = 3.6 } ]").find("shop.toml:4:23") == 0);
  CHECK_THAT(complaint(head + "readings = [ { what = \"working_depth\" } ]"),
             Catch::Contains("`value` is missing"));
  CHECK_THAT(complaint(head + "readings = [ { what = \"tip_flat\", value = 0.2, error = 0 } ]"),
             Catch::Contains("`error`"));
  CHECK_THAT(complaint(head + "date = \"2024-05-02\""), Catch::Contains("without quotes"));
  CHECK_THAT(complaint(head + "date = 10:30:00"), Catch::Contains("without a day"));
  CHECK_THAT(
      complaint(head + "working_depth = 3.6\nreadings = [ { what = \"working_depth\", value = 3.6 } ]"),
      Catch::Contains("among its `readings` too"));
  CHECK_THAT(complaint("title = \"x\"\n" + head), Catch::Contains("unknown key `title`"));
  CHECK_THAT(complaint(""), Catch::Contains("`bits` is missing"));
}

TEST_CASE("a scene takes its bits from a bits file, and faults name the right file", "[bits][scene]") {
  const std::string folder = std::string(OVOLO_SOURCE_DIR) + "/scenes";
  const auto scene = [](const std::string& top, const std::string& bit) {
    return top +
           "\n[stock]\nsize = [400, 250]\nlayers = [{ name = \"board\", thickness = 18 }]\n"
           "[contours.c]\ncircle = { center = [200, 100], radius = 50 }\n[[operations]]\nname = "
           "\"rim\"\nkind = \"edge\"\nbit = \"" +
           bit + "\"\ncontour = \"c\"\nkeep = \"inside\"\ndepth = 3\n";
  };
  const Job job = parse_scene(scene("bits_file = \"bits/shop.toml\"", "round5"), "scene.toml", folder);
  CHECK(job.bits[job.operations[0].bit].id == "round5");
  CHECK(job.bits[job.operations[0].bit].roundover->working_depth == Approx(3.62).margin(0.01));
  CHECK_THROWS_WITH(parse_scene(scene("bits_file = \"bits/gone.toml\"", "round5"), "scene.toml", folder),
                    Catch::Contains("gone.toml: cannot be read"));
  CHECK_THROWS_WITH(
      parse_scene(
          scene("bits_file = \"bits/shop.toml\"\n[bits.round5]\nform = \"ball\"\ndiameter = 6", "round5"),
          "scene.toml", folder),
      Catch::StartsWith("scene.toml:2:1: bit `round5` stands in") && Catch::Contains("bits/shop.toml too"));
}

TEST_CASE("the lip to expect is the mean of what the reading's error allows", "[bits]") {
  std::mt19937 random(3);
  for (const double depth : {3.5, 3.6, 3.65, 3.8}) {
    std::normal_distribution<double> w(3.62, 0.05);
    double sum = 0, squares = 0;
    constexpr int kDraws = 400000;
    for (int i = 0; i < kDraws; ++i) {
      const double lip = std::max(0.0, depth - w(random));
      sum += lip;
      squares += lip * lip;
    }
    const double mean = sum / kDraws, deviation = std::sqrt(squares / kDraws - mean * mean);
    const Expected e = expected_lip(depth, 3.62, 0.05);
    CHECK(e.mean == Approx(mean).margin(5 * 0.05 / std::sqrt(double{kDraws})));
    CHECK(e.deviation == Approx(deviation).margin(3e-4));
  }
  CHECK(expected_lip(5, 3.62, 0).mean == Approx(1.38));
  CHECK(expected_lip(3, 3.62, 0).mean == 0);
}

TEST_CASE("best settings leave neither lip nor band, and their breaks are the closed forms'", "[bits]") {
  const BitRow row = bit_row(parse(
      "[bits.b]\nform = \"point_roundover\"\nradius = 5\nworking_depth = 3.62\nreading_error = 0.03")[0]);
  CHECK(row.tip_flat == Approx(2 * 0.1942).margin(1e-4));  // derived: a = R - sqrt(R^2 - (R - W)^2)
  REQUIRE(row.depth);
  CHECK(*row.depth == Approx(3.56));
  CHECK(*row.face_break / kDegree == Approx(std::acos((3.56 + 1.38) / 5) / kDegree));
  // Offset: a + 2 sigma, sigma about 0.03 * h0 / sqrt(R^2 - h0^2) = 0.0086, up to the next 0.01 mm.
  CHECK(*row.offset == Approx(0.22));
  const double out = 5 - 0.22, h = std::sqrt(25 - out * out);
  CHECK(*row.wall_break == Approx(std::asin(h / 5)));
  CHECK(*row.foot_depth == Approx(3.56 - (h - 1.38)));
  CHECK(*row.lost_angle / kDegree == Approx(std::asin(1.38 / 5) / kDegree));
  CHECK(*row.lip < 0.001);
  // A full point has lost nothing.
  CHECK(*bit_row(parse("[bits.b]\nform = \"point_roundover\"\nradius = 5")[0]).lost_angle == Approx(0));
  CHECK_FALSE(bit_row(parse("[bits.b]\nform = \"straight\"\ndiameter = 6")[0]).depth);
  CHECK(bit_row(parse("[bits.b]\nform = \"ball\"\ndiameter = 6")[0]).thickness_above ==
        Approx(2 * std::sqrt(5.0)));
}

TEST_CASE("the table puts bits side by side in mm or inches", "[bits]") {
  const std::vector<Bit> bits = parse(
      "[bits.round5]\nform = \"point_roundover\"\nradius = 5\nworking_depth = 3.62\n[bits.mill6]\nform = "
      "\"straight\"\ndiameter = 6.35");
  std::vector<BitRow> rows;
  for (const Bit& b : bits) rows.push_back(bit_row(b));
  const std::string mm = bit_table(rows, false), inch = bit_table(rows, true);
  CHECK_THAT(mm, Catch::Contains("round5") && Catch::Contains("3.62 +- 0.03") &&
                     Catch::Contains("16 deg, 1.398") && Catch::Contains("6.35"));
  CHECK_THAT(inch, Catch::Contains("0.1425 +- 0.0012") && Catch::Contains("0.25"));
}
