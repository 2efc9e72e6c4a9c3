#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "sim/bit/forms.hpp"
#include "sim/error.hpp"

using namespace ovolo;

namespace {
RoundoverReadings readings(double R) {
  RoundoverReadings r;
  r.radius = R;
  return r;
}
}  // namespace

TEST_CASE("readings of a roundover fix one another", "[bit]") {
  RoundoverReadings w = readings(5);
  w.working_depth = 3.62;
  const Roundover from_depth = derive_roundover(w);
  CHECK(from_depth.tip_radius == Approx(5 - std::sqrt(25 - 1.38 * 1.38)).margin(1e-12));
  CHECK(from_depth.cutting_radius == Approx(5));

  RoundoverReadings a = readings(5);
  a.tip_flat = 2 * from_depth.tip_radius;
  CHECK(derive_roundover(a).working_depth == Approx(3.62).margin(1e-9));

  a.cutting_diameter = 10;
  CHECK(derive_roundover(a).working_depth == Approx(3.62).margin(1e-9));

  RoundoverReadings wc = w;
  wc.cutting_diameter = 10.4;
  CHECK(derive_roundover(wc).tip_radius == Approx(from_depth.tip_radius + 0.2).margin(1e-9));
}

TEST_CASE("a maker may space the arcs apart", "[bit]") {
  RoundoverReadings r = readings(6);
  r.working_depth = 6;
  r.tip_flat = 1;
  const Roundover bit = derive_roundover(r);
  CHECK(bit.cutting_radius == Approx(6.5));
  CHECK(bit.h0() == 0);
  CHECK(bit.disagreement.empty());
  r.cutting_diameter = 12.5;
  CHECK_FALSE(derive_roundover(r).disagreement.empty());
}

TEST_CASE("a tip flat that a shortened bit cannot have is told, and half of it as a radius", "[bit]") {
  // Derived: R 5, W 3.62 leave a flat of 2 (5 - sqrt(25 - 1.38^2)) = 0.3884 mm at the least.
  RoundoverReadings r;
  r.radius = 5;
  r.working_depth = 3.62;
  const auto told = [&r](double flat) {
    r.tip_flat = flat;
    return derive_roundover(r).disagreement;
  };
  for (const double fits : {0.3884, 0.42, 0.36, 0.9}) CHECK(told(fits).empty());
  CHECK(told(0.194).find("tip_flat is its diameter") != std::string::npos);
  CHECK(told(0.194).find("0.388 mm (0.0153 in) or more") != std::string::npos);
  // A decimal slipped: 3.88 mm makes the bit 2 (1.94 + sqrt(25 - 1.38^2)) = 13.492 mm wide.
  CHECK(told(3.88).find("makes the bit 13.492 mm") != std::string::npos);
  CHECK(told(3.88).find("its flat 0.388 mm (0.0153 in)") != std::string::npos);
  CHECK(told(0.05).find("measure again") != std::string::npos);
  CHECK(told(0.05).find("diameter)") == std::string::npos);
  r.cutting_diameter = 2 * derive_roundover(r).cutting_radius;  // read too: then the arcs do stand nearer
  CHECK(told(0.05).empty());
}

TEST_CASE("the readings' error is carried; it is steep near a full point", "[bit]") {
  RoundoverReadings r = readings(6.35);
  r.tip_flat = 0.2;
  r.cutting_diameter = 12.7;
  const Roundover bit = derive_roundover(r);
  // Derived: a flat of 0.1 mm already costs more than a millimetre of depth at R 6.35: sqrt(2 R a - a^2).
  CHECK(6.35 - bit.working_depth == Approx(std::sqrt(2 * 6.35 * 0.1 - 0.01)).margin(1e-9));
  // Derived: dW / dc = sqrt(R^2 - h0^2) / h0.
  const double slope = std::sqrt(6.35 * 6.35 - bit.h0() * bit.h0()) / bit.h0();
  CHECK(bit.working_depth_error == Approx(slope * 0.015 * std::sqrt(2.0)).epsilon(0.05));
}

TEST_CASE("readings that cannot be are refused with the mend", "[bit]") {
  RoundoverReadings r = readings(5);
  r.working_depth = 5.2;
  CHECK_THROWS_AS(derive_roundover(r), JobError);
  r = readings(5);
  r.tip_flat = 12;
  CHECK_THROWS_WITH(derive_roundover(r), Catch::Contains("less than 10"));
  r = readings(5);
  r.tip_flat = 1;
  r.cutting_diameter = 12;
  CHECK_THROWS_AS(derive_roundover(r), JobError);
  CHECK_THROWS_AS(derive_roundover(readings(-1)), JobError);
  CHECK_THROWS_AS(derive_roundover(readings(std::nan(""))), JobError);
}

TEST_CASE("heights of the forms are their closed forms", "[bit]") {
  RoundoverReadings r = readings(5);
  r.working_depth = 3.62;
  const Roundover bit = derive_roundover(r);
  const Profile p = point_roundover(bit, 10);
  CHECK(p.tip_flat_radius() == Approx(bit.tip_radius));
  CHECK(p.form_height() == Approx(3.62).margin(1e-12));
  CHECK_FALSE(p.undercut());
  for (double x = 0.2; x < 5; x += 0.1) {
    const double d = x - bit.cutting_radius;
    CHECK(p.height(x) == Approx(std::sqrt(25 - d * d) - 1.38).margin(1e-12));
    CHECK(p.slope(x) == Approx(-d / std::sqrt(25 - d * d)).margin(1e-9));
  }
  CHECK(p.height(0.1) == 0);
  CHECK(std::isinf(p.height(5.01)));

  const Profile cone = chamfer(std::numbers::pi / 4, 2, 12, 3);
  CHECK(cone.height(3.5) == Approx(2.5));
  CHECK(cone.form_height() == Approx(5));
  CHECK(ball(8, 2).height(3) == Approx(4 - std::sqrt(16. - 9)));
  CHECK(straight(6, 10).height(3) == 0);
  CHECK(straight(6, 10).form_height() == 0);
  CHECK(cove(4, 1, 2).height(2.5) == Approx(4 - std::sqrt(16. - 4)));
  const Profile o = ovolo_form(4, 1, 0.5, 0.7, 0.7);
  CHECK(o.height(0.99) == 0);
  CHECK(o.height(3) == Approx(std::sqrt(16. - 4)));
  const Profile s = ogee(4, 3, 1, 0.5, 0, 1);
  CHECK(s.height(2) == Approx(3 - std::sqrt(9. - 1)));
  CHECK(s.height(6) == Approx(3 + std::sqrt(16. - 4)));
}

TEST_CASE("wanted forms stand with their top on the face and their foot on the wall", "[bit]") {
  const WantedForm w = wanted_from_profile(ovolo_form(4, 1, 0.5, 0.7, 0.7), 0.5, 0.7);
  CHECK(w.width == Approx(4.5));
  CHECK(w.depth == Approx(4.7));
  CHECK(w.depth_at(0.25) == Approx(4.7));
  CHECK(w.depth_at(4.4999) == Approx(0.7).margin(1e-3));
  CHECK(w.depth_at(5) == 0);
  CHECK(WantedForm::round(5).depth_at(2) == Approx(5 - std::sqrt(25. - 9)));
  CHECK_THROWS_AS(wanted_from_profile(straight(6, 3), 3), JobError);
}

TEST_CASE("a radius that falls on the way up is undercut; a hollow tip is flat to a passing cut", "[bit]") {
  const Profile dovetail({Segment::line({0, 0}, {8, 0}), Segment::line({8, 0}, {5, 9})});
  CHECK(dovetail.undercut());
  const Profile hollow({Segment::line({0, 1}, {3, 0}), Segment::line({3, 0}, {6, 4})});
  CHECK(hollow.hollow_tip());
  CHECK(hollow.height(1) == 0);
  CHECK(hollow.height(4.5) == Approx(2));
  const Profile bump(
      {Segment::line({0, 0}, {2, 3}), Segment::line({2, 3}, {4, 1}), Segment::line({4, 1}, {6, 5})});
  CHECK(bump.height(0.5) == Approx(0.75));
  CHECK(bump.height(1) == Approx(1));
  CHECK(bump.height(3) == Approx(1));
  CHECK(bump.height(5) == Approx(3));
}

TEST_CASE("broken chains are refused with their place", "[bit]") {
  CHECK_THROWS_WITH(Profile({Segment::line({0, 0}, {2, 0}), Segment::line({2.1, 0}, {4, 1})}),
                    Catch::Contains("gap"));
  CHECK_THROWS_WITH(Profile({Segment::line({1, 0}, {2, 0})}), Catch::Contains("axis"));
  CHECK_THROWS(Profile(std::vector<Segment>{}));
  CHECK_THROWS(Profile({Segment::line({0, 0}, {-2, 1})}));
}

TEST_CASE("undercut forms are the chains their keys describe", "[bit]") {
  // Widths at heights, read off the chain's monotone parts.
  const auto width_at = [](const Profile& p, double h) {
    double widest = -1;
    for (const Segment& s : p.chain())
      for (const Segment& m : monotone_parts(s)) {
        if (h < m.a.y || h > m.b.y || m.a.y == m.b.y) continue;
        const double d = h - m.centre.y;
        const double r = m.is_arc() ? m.centre.x + (m.point(m.length() / 2).x < m.centre.x ? -1 : 1) *
                                                       std::sqrt(m.radius * m.radius - d * d)
                                    : m.a.x + (h - m.a.y) / (m.b.y - m.a.y) * (m.b.x - m.a.x);
        widest = std::max(widest, r);
      }
    return widest;
  };
  const Profile nose = bullnose(9, 12, 1, 20);
  CHECK(nose.undercut());
  CHECK_FALSE(nose.hollow_tip());
  CHECK(nose.cutting_radius() == Approx(15));
  CHECK(width_at(nose, 0.5) == Approx(15));
  CHECK(width_at(nose, 10) == Approx(6));
  for (const double z : {-7., -3., 2., 8.})
    CHECK(width_at(nose, 10 + z) == Approx(15 - std::sqrt(81 - z * z)));
  CHECK(width_at(nose, 19.5) == Approx(15));

  const Profile low = bottom_round(6, 10, 0.8, 20);
  CHECK(low.undercut());
  CHECK(width_at(low, 0.4) == Approx(11));
  for (const double z : {1., 3., 5.})
    CHECK(width_at(low, 0.8 + z) == Approx(11 - std::sqrt(36 - (6 - z) * (6 - z))));
  CHECK(width_at(low, 10) == Approx(5));

  const Profile tail = dovetail(14 * std::numbers::pi / 180, 12.7, 9, 20);
  CHECK(tail.undercut());
  for (const double h : {1., 5., 8.})
    CHECK(width_at(tail, h) == Approx(6.35 - h * std::tan(14 * std::numbers::pi / 180)));
  CHECK(width_at(tail, 15) == Approx(6.35 - 9 * std::tan(14 * std::numbers::pi / 180)));

  const Profile tee = t_slot(16, 4, 8, 20);
  CHECK(width_at(tee, 2) == Approx(8));
  CHECK(width_at(tee, 6) == Approx(4));

  const Profile pull = finger_pull(4, 22, 8, 2, 20);
  CHECK(pull.undercut());
  for (const double z : {-3., 0., 3.}) CHECK(width_at(pull, 4 + z) == Approx(7 + std::sqrt(16 - z * z)));
  CHECK(width_at(pull, 9) == Approx(6 - std::sqrt(4. - 1)));
  CHECK(width_at(pull, 15) == Approx(4));

  CHECK_THROWS_AS(dovetail(0.5, 8, 20, 5), JobError);
  CHECK_THROWS_AS(t_slot(8, 3, 8, 5), JobError);
  CHECK_THROWS_AS(finger_pull(4, 12, 8, 0, 5), JobError);
  CHECK_THROWS_AS(bullnose(-1, 8, 0, 5), JobError);
}

TEST_CASE("what a straight pass of an undercut bit leaves folds back over u", "[bit]") {
  const double angle = 14 * std::numbers::pi / 180, lean = std::tan(angle);
  const WantedForm slot = swept_form(dovetail(angle, 12.7, 9, 20), 10, 0);
  REQUIRE(slot.curve.size() == 3);  // the floor, the flank and the neck
  CHECK(slot.depth == Approx(10));
  CHECK(slot.width == Approx(6.35));
  CHECK(slot.curve[1].b.x == Approx(6.35 - 9 * lean));
  CHECK(slot.curve[1].b.y == Approx(-1));
  CHECK(slot.curve[2].b.y == 0);
  // With the axis off the line by more than the neck's half the cut comes back to the wall.
  const WantedForm groove = swept_form(t_slot(16, 4, 8, 20), 10, 5);
  REQUIRE(groove.curve.size() == 3);
  CHECK(groove.curve.front().a == Vec2{0, -10});
  CHECK(groove.curve.back().b == Vec2{0, -6});
  CHECK(groove.width == Approx(3));
  CHECK_THROWS_AS(swept_form(t_slot(16, 4, 8, 20), 10, 9), JobError);
}
