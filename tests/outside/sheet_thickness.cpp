// What the published thickness tolerances of boards do to an edge, by where Z zero is set.
#include <catch2/catch.hpp>

#include "sim/advise/edge_case.hpp"
#include "sim/advise/errors.hpp"
#include "sim/bit/forms.hpp"
#include "sim/stock/surface.hpp"

using namespace ovolo;

namespace {

constexpr double kWidth = 700, kHeight = 500, kDepth = 3.62;

// Eight readings, 50 mm from the edges (EN 324-1), of a board that is `most` thicker than nominal at its
// right end and `least` at its left.
SheetShape board(double nominal, double least, double most) {
  SheetShape shape;
  for (const double x : {50.0, 350.0, 650.0})
    for (const double y : {50.0, 250.0, 450.0})
      if (x != 350 || y != 250)
        shape.thickness.push_back({{x, y}, nominal + least + (most - least) * (x - 50) / 600});
  shape.zero = {50, 250};
  return shape;
}

// The lip that a roundover R 5, W 3.62, set exactly as deep as it works, leaves at a place of the board.
double lip_at(const SheetShape& shape, double nominal, ZeroOn zero, Vec2 place) {
  const Surface surface(shape, kWidth, kHeight, nominal, zero, {});
  EdgeCase edge;
  RoundoverReadings readings;
  readings.radius = 5;
  readings.working_depth = kDepth;
  edge.bit.roundover = derive_roundover(readings);
  edge.bit.profile = point_roundover(*edge.bit.roundover, 25);
  edge.wanted = WantedForm::round(5);
  edge.stock.layers = {{"all", nominal, {}}};
  return edge.measure(kDepth - surface.delta(place), 0.4).lip.value_or(-1);
}

}  // namespace

TEST_CASE("MDF at the ends of its thickness tolerance", "[outside]") {
  // ANSI A208.2: average thickness +-0.125 mm, and +-0.125 mm within a panel (as reproduced in Surface &
  // Panel 2014/15).
  constexpr double kAverage = 0.125, kWithin = 0.125;
  const SheetShape even = board(18, kAverage, kAverage);
  CHECK(lip_at(even, 18, ZeroOn::face, {650, 250}) == Approx(0).margin(1e-6));
  CHECK(lip_at(even, 18, ZeroOn::spoilboard, {650, 250}) == Approx(kAverage).margin(1e-6));
  const SheetShape uneven = board(18, kAverage - kWithin, kAverage + kWithin);
  CHECK(lip_at(uneven, 18, ZeroOn::face, {650, 250}) == Approx(2 * kWithin).margin(1e-3));
  CHECK(lip_at(uneven, 18, ZeroOn::spoilboard, {650, 250}) == Approx(kAverage + kWithin).margin(1e-3));
  CHECK(lip_at(uneven, 18, ZeroOn::spoilboard, {50, 250}) == Approx(0).margin(1e-3));
}

TEST_CASE("sanded plywood at the ends of its thickness tolerance", "[outside]") {
  // EN 315: +(0.2 + 0.03 t) / -(0.4 + 0.03 t) mm (from memory; the same formula read in GB/T 9846).
  constexpr double kThick = 18, kOver = 0.2 + 0.03 * kThick, kUnder = 0.4 + 0.03 * kThick;
  CHECK(lip_at(board(kThick, kOver, kOver), kThick, ZeroOn::spoilboard, {350, 250}) ==
        Approx(0.74).margin(1e-6));
  CHECK(lip_at(board(kThick, -kUnder, -kUnder), kThick, ZeroOn::spoilboard, {350, 250}) ==
        Approx(0).margin(1e-6));
  // 18 mm birch by mill tables: 0.6 mm within a panel.
  CHECK(lip_at(board(kThick, -0.3, 0.3), kThick, ZeroOn::face, {650, 250}) == Approx(0.6).margin(1e-3));
}

TEST_CASE("the sheet's thickness error where nothing is told", "[outside]") {
  // EN 622-1: +-0.20 mm to 19 mm (from memory), taken as two standard deviations.
  CHECK(2 * SettingErrors{}.thickness == Approx(0.20));
}
