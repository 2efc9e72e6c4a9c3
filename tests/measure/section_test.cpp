// Closed forms of a level pass along a straight edge; derived, anyone can redo them.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "sim/bit/forms.hpp"
#include "sim/measure/edge.hpp"

using namespace ovolo;

namespace {

constexpr double kDegrees = 180 / std::numbers::pi;

Stock plain_stock(double thickness = 30) {
  Stock s;
  s.width = s.height = 1000;
  s.layers = {{"all", thickness, {}}};
  return s;
}

SectionMeasures measure_straight(const Profile& profile, double depth, double offset,
                                 const WantedForm& wanted, const Stock& stock, double u_max = 40) {
  const Wishes wishes;
  SectionContext context;
  context.stock = &stock;
  context.wanted = &wanted;
  context.wishes = &wishes;
  return measure_section(SectionMaker::straight(profile, depth, offset, u_max), context);
}

Roundover bit_of(double radius, double depth) {
  RoundoverReadings r;
  r.radius = radius;
  r.working_depth = depth;
  return derive_roundover(r);
}

}  // namespace

TEST_CASE("a level pass at full depth on the line leaves a lip and a band", "[section]") {
  const Roundover bit = bit_of(5, 3.62);
  CHECK(bit.tip_radius == Approx(0.1942).margin(5e-5));
  const auto m = measure_straight(point_roundover(bit, 20), 5, 0, WantedForm::round(5), plain_stock());
  CHECK(*m.lip == Approx(1.38).margin(1e-6));
  CHECK(*m.band == Approx(bit.tip_radius).margin(1e-6));
  CHECK(*m.face_break == Approx(0).margin(1e-6));
  CHECK(*m.wall_break == Approx(std::asin(1.38 / 5)).margin(1e-9));
  CHECK(*m.foot_depth == Approx(5).margin(1e-9));
  CHECK(m.blend == Approx(1.38 * 1.38 / (2 * std::tan(15 / kDegrees)) +
                          bit.tip_radius * bit.tip_radius / (2 * std::tan(25 / kDegrees))));
}

TEST_CASE("the worked example with the axis off the line", "[section]") {
  const auto m =
      measure_straight(point_roundover(bit_of(5, 3.62), 20), 3.55, 0.4, WantedForm::round(5), plain_stock());
  CHECK(*m.lip == 0);
  CHECK(*m.band == 0);
  CHECK(*m.face_break * kDegrees == Approx(9.60).margin(5e-3));
  CHECK(*m.wall_break * kDegrees == Approx(23.07).margin(5e-3));
  CHECK(*m.foot_depth == Approx(2.9704).margin(5e-5));
  CHECK(m.curve_length == Approx(5.0028).margin(5e-5));
  CHECK(m.gouge == Approx(0).margin(1e-9));
  CHECK(m.excess > 0.5);
}

TEST_CASE("closed forms hold for random roundovers, depths and offsets", "[section]") {
  std::mt19937_64 random(20261125);
  std::uniform_real_distribution<double> u(0, 1);
  for (int i = 0; i < 2000; ++i) {
    const double R = 1 + 11 * u(random), W = R * (0.5 + 0.5 * u(random));
    const Roundover bit = bit_of(R, W);
    const double a = bit.tip_radius, c = bit.cutting_radius, h0 = bit.h0();
    const double o = -a + (0.9 * c + a) * u(random) * u(random);
    const Profile profile = point_roundover(bit, 30);
    const double at_wall = profile.height(std::abs(o));
    const double D = at_wall + 0.01 * R + 1.2 * R * u(random);
    INFO("R " << R << " W " << W << " o " << o << " D " << D);
    const auto m = measure_straight(profile, D, o, WantedForm::round(R), plain_stock());
    CHECK(*m.lip == Approx(std::max(0.0, D - W)).margin(1e-6));
    CHECK(*m.band == Approx(std::max(0.0, a - o)).margin(1e-6));
    if (D < W)
      CHECK(*m.face_break == Approx(std::acos((D + h0) / R)).margin(1e-6));
    else
      CHECK(*m.face_break == Approx(0).margin(1e-6));
    const double h = o >= a ? std::sqrt(R * R - (c - o) * (c - o)) : h0;
    CHECK(*m.wall_break == Approx(std::asin(h / R)).margin(1e-6));
    CHECK(*m.foot_depth == Approx(o >= a ? D - (h - h0) : D).margin(1e-6));
    // Arc length between the two ends of the curve, plus the band and the lip.
    const double top = D < W ? std::acos((D + h0) / R) : 0;
    const double length = R * (std::numbers::pi / 2 - std::asin(h / R) - top) + *m.band + *m.lip;
    CHECK(m.curve_length == Approx(length).margin(1e-6));
  }
}

TEST_CASE("an axis further in than the tip flat leaves no foot on the wall", "[section]") {
  const auto m =
      measure_straight(point_roundover(bit_of(5, 3.62), 20), 3, -1, WantedForm::round(5), plain_stock());
  CHECK_FALSE(m.foot_depth.has_value());
  CHECK_FALSE(m.wall_break.has_value());
  CHECK_FALSE(m.band.has_value());
}

TEST_CASE("layers show as long as the closed form says", "[section]") {
  // Derived: between depths z1 and z2 on an arc tangent to the face, length R (p2 - p1), p = acos(1 - z / R).
  Stock stock = plain_stock();
  stock.layers = {{"cap", 1.3, {}}, {"core", 10.1, {}}, {"back", 1.3, {}}};
  const auto m = measure_straight(point_roundover(bit_of(5, 5), 20), 5, 0, WantedForm::round(5), stock);
  const double p1 = std::acos(1 - 1.3 / 5);
  CHECK(m.exposure[0] == Approx(5 * p1).margin(1e-6));
  CHECK(m.exposure[1] == Approx(5 * (std::numbers::pi / 2 - p1)).margin(1e-6));
  CHECK(m.exposure[2] == 0);
  CHECK(m.curve_length == Approx(5 * std::numbers::pi / 2).margin(1e-6));
  CHECK(m.excess == Approx(0).margin(1e-9));
  CHECK(m.gouge == Approx(0).margin(1e-9));
}

TEST_CASE("a round too shallow by d stops short of tangency and leaves an excess", "[section]") {
  // Derived: sqrt(2 R d - d^2): R 6.35, d 0.05 gives 0.795, d 0.125 gives 1.254.
  const double R = 6.35;
  for (const auto& [d, stop] : {std::pair{0.05, 0.795}, std::pair{0.125, 1.254}}) {
    const auto m =
        measure_straight(point_roundover(bit_of(R, R), 20), R - d, 0, WantedForm::round(R), plain_stock());
    CHECK(R - m.round_width == Approx(stop).margin(5e-4));
    CHECK(*m.face_break == Approx(std::acos(1 - d / R)).margin(1e-9));
    CHECK(m.excess_max == Approx(std::sqrt(R * R + 2 * R * d - d * d) - R).margin(1e-9));  // at the face
  }
}

TEST_CASE("excess and gouge of shifted circles agree with a fine sum", "[section]") {
  const Roundover bit = bit_of(5, 3.62);
  const Profile profile = point_roundover(bit, 20);
  const WantedForm wanted = WantedForm::round(5);
  for (const auto& [D, o] :
       {std::pair{5.0, 0.0}, std::pair{3.55, 0.4}, std::pair{4.2, 0.1}, std::pair{3.0, 1.5}}) {
    const auto m = measure_straight(profile, D, o, wanted, plain_stock());
    double excess = 0, gouge = 0, first = 0;
    const int n = 400000;
    for (int i = 0; i < n; ++i) {
      const double u = (i + 0.5) * 6 / n;
      const double z = std::min(0.0, profile.height(u + o) - D);
      const double w = std::max(-wanted.depth_at(u), -*m.foot_depth);
      (z > w ? excess : gouge) += std::abs(z - w) * 6 / n;
      if (z > w) first += u * (z - w) * 6 / n;
    }
    CHECK(m.excess == Approx(excess).margin(2e-5));
    CHECK(m.gouge == Approx(gouge).margin(2e-5));
    CHECK(m.excess_moment == Approx(first).margin(2e-5));
  }
}

TEST_CASE("the removed section of a quarter round is the spandrel", "[section]") {
  // Derived: area R^2 (1 - pi / 4), centroid (10 - 3 pi) / (12 - 3 pi) R from the outer faces.
  const double R = 7;
  Profile deep = point_roundover(bit_of(R, R), 20);
  const WantedForm none = WantedForm::round(1e-6);  // so that all that is removed counts as gouge
  const auto m = measure_straight(deep, R, 0, none, plain_stock());
  const double area = R * R * (1 - std::numbers::pi / 4);
  CHECK(m.gouge == Approx(area).margin(1e-5));
  CHECK(m.gouge_moment / m.gouge ==
        Approx(R * (10 - 3 * std::numbers::pi) / (12 - 3 * std::numbers::pi)).margin(1e-5));
}

TEST_CASE("common practice: a quarter-inch roundover that works 0.177 in deep", "[section]") {
  // Common practice, no published source.
  const double inch = 25.4;
  const Profile profile = point_roundover(bit_of(0.25 * inch, 0.177 * inch), 20);
  const auto bad = measure_straight(profile, 0.25 * inch, 0, WantedForm::round(0.25 * inch), plain_stock());
  CHECK(*bad.lip / inch == Approx(0.073).margin(1e-6));
  CHECK(*bad.band / inch == Approx(0.0109).margin(5e-5));
  Stock two = plain_stock();
  two.layers = {{"cap", 0.15 * inch, {}}, {"core", 20, {}}};
  const auto good = measure_straight(profile, 0.175 * inch, 0.02 * inch, WantedForm::round(0.25 * inch), two);
  CHECK(*good.lip == 0);
  CHECK(*good.band == 0);
  CHECK(*good.foot_depth / inch == Approx(0.150).margin(5e-4));
  CHECK(good.exposure[1] < 1e-3);
}

TEST_CASE("excess ends where the section ends", "[section]") {
  // Derived: a floor 1 mm down and 1 mm wide against a bevel of 4 mm: what stands above the floor's height is
  // 1 mm high from u = 1 to 3 and falls to nothing at 4. Beside a sharp corner the section may end before
  // that.
  WantedForm bevel;
  bevel.curve = {Segment::line({0, -4}, {4, 0})};
  bevel.width = bevel.depth = 4;
  const Profile mill = straight(6, 20);
  CHECK(measure_straight(mill, 1, 2, bevel, plain_stock()).excess == Approx(2.5).margin(1e-9));
  CHECK(measure_straight(mill, 1, 2, bevel, plain_stock(), 2).excess == Approx(1).margin(1e-9));
  CHECK(measure_straight(mill, 1, 2, bevel, plain_stock(), 3.5).excess == Approx(2.375).margin(1e-9));
}

TEST_CASE("below the wanted foot the gouge is measured from the wall", "[section]") {
  // Derived: a rebate 1 mm wide and 6 mm deep against a round of 4 mm: nowhere is it further than 1 mm from
  // the round or the wall below it.
  const auto m = measure_straight(straight(6, 20), 6, 2, WantedForm::round(4), plain_stock());
  CHECK(m.gouge_max == Approx(1).margin(1e-6));
}
