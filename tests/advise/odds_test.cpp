// Chances of meeting the wishes, against closed forms, against sections of bits drawn at random, and against
// what the measures say.
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <numbers>
#include <random>

#include "sim/advise/normal.hpp"
#include "sim/advise/odds.hpp"
#include "sim/advise/wish_window.hpp"
#include "sim/bit/forms.hpp"
#include "sim/measure/edge.hpp"
#include "sim/measure/verdict.hpp"

using namespace ovolo;

namespace {

Stock stock_of(std::vector<Layer> layers = {{"all", 30, {}}}) {
  Stock s;
  s.width = s.height = 1000;
  s.layers = std::move(layers);
  return s;
}

RoundoverReadings readings_of(double radius, double depth, double error = 0.03) {
  RoundoverReadings r;
  r.radius = radius;
  r.working_depth = depth;
  r.error = error;
  return r;
}

Bit bit_of(const RoundoverReadings& readings) {
  Bit bit;
  bit.form = "point_roundover";
  bit.roundover = derive_roundover(readings);
  bit.profile = point_roundover(*bit.roundover, 20);
  bit.nominal_radius = readings.radius;
  bit.working_depth = bit.roundover->working_depth;
  bit.wanted = WantedForm::round(readings.radius);
  return bit;
}

// Is the edge within the wishes, told from the section's measures as a verdict would? `slack` loosens (or,
// when negative, tightens) every limit.
bool good(const Profile& profile, double depth, double offset, const WantedForm& wanted, const Stock& stock,
          const Wishes& wishes, double slack = 0) {
  if (depth <= 0 || std::abs(offset) >= profile.cutting_radius()) return false;
  SectionContext context;
  context.stock = &stock;
  context.wanted = &wanted;
  context.wishes = &wishes;
  const auto m = measure_section(
      SectionMaker::straight(profile, depth, offset, profile.cutting_radius() + std::abs(offset) + 1),
      context);
  if (!m.cut || !m.foot_depth) return false;
  if (m.lip.value_or(0) > wishes.lip + slack || m.band.value_or(0) > wishes.band + slack) return false;
  if (m.face_break.value_or(0) > wishes.face_break + own_face_break(wanted) + slack) return false;
  if (m.wall_break.value_or(0) > wishes.wall_break + own_wall_break(wanted) + slack) return false;
  for (std::size_t i = 0; i < stock.layers.size(); ++i)
    for (const std::string& name : wishes.hidden)
      if (stock.layers[i].name == name && m.exposure[i] > std::max(1e-9, 1e-3 + slack)) return false;
  return true;
}

}  // namespace

TEST_CASE("the window of a roundover is that of the closed forms", "[advise]") {
  // Derived: lip D - W, band a - o, face break acos((D + h0) / R), wall break asin(sqrt(R^2 - (c - o)^2) /
  // R).
  const Bit bit = bit_of(readings_of(5, 3.62));
  const Stock stock = stock_of({{"cap", 3.1, {}}, {"core", 9, {}}});
  Wishes wishes;
  wishes.hidden = {"core"};
  const WishWindow window(bit.profile, bit.wanted, stock, wishes, 12);
  const auto depths = window.depths(), offsets = window.offsets();
  REQUIRE(depths.size() == 1);
  REQUIRE(offsets.size() == 1);
  CHECK(depths[0].lo == Approx(5 * std::cos(wishes.face_break) - 1.38).margin(1e-9));
  CHECK(depths[0].hi == Approx(3.62 + 0.015).margin(1e-9));
  CHECK(depths[0].below == Wish::face_break);
  CHECK(depths[0].above == Wish::lip);
  CHECK(offsets[0].lo == Approx(bit.roundover->tip_radius - 0.1).margin(1e-9));
  CHECK(offsets[0].hi == Approx(5 - 5 * std::cos(wishes.wall_break)).margin(1e-9));
  CHECK(offsets[0].below == Wish::band);
  CHECK(offsets[0].above == Wish::wall_break);
  const double h = std::sqrt(25 - 4.6 * 4.6);
  CHECK(window.hidden_depth(0.4) == Approx(3.1 + h - 1.38).margin(1e-12));
  CHECK(window.feasible());

  const auto deeper = window.deeper(3.55, 0.4), shallower = window.shallower(3.55, 0.4);
  CHECK(deeper.distance == Approx(0.085).margin(1e-9));
  CHECK(deeper.breaks == Wish::lip);
  CHECK(shallower.distance == Approx(3.55 - depths[0].lo).margin(1e-9));
  CHECK(shallower.breaks == Wish::face_break);
  CHECK(window.outward(3.55, 0.4).breaks == Wish::wall_break);
  // Further in the foot falls to the core before the tip flat shows: foot 3.1 mm deep at h = h0 + 0.45.
  const auto inward = window.inward(3.55, 0.4);
  CHECK(inward.breaks == Wish::hidden);
  CHECK(inward.distance == Approx(0.4 - (5 - std::sqrt(25 - std::pow(1.38 + 0.45, 2)))).margin(1e-9));
}

TEST_CASE("the window holds exactly where the measures are within the wishes", "[advise]") {
  std::mt19937_64 random(20260301);
  std::uniform_real_distribution<double> u(0, 1);
  const Stock stock = stock_of({{"cap", 4, {}}, {"core", 3, {}}, {"back", 20, {}}});
  Wishes wishes;
  wishes.hidden = {"core"};
  struct Form {
    const char* name;
    Profile profile;
    WantedForm wanted;
  };
  std::vector<Form> forms;
  const auto add = [&](const char* name, Profile p, double tip, double face) {
    WantedForm w = wanted_from_profile(p, tip, face);
    forms.push_back({name, std::move(p), std::move(w)});
  };
  add("ogee", ogee(3, 2, 3, 0.4, 0.5, 20), 1.5, 0.5);
  add("ovolo", ovolo_form(4, 2, 0.5, 0.6, 20), 1, 0.6);
  add("cove", cove(4, 2, 20), 1, 0);
  add("chamfer", chamfer(std::numbers::pi / 4, 1, 11, 20), 0.5, 0);
  add("ball", ball(9, 20), 0, 0);
  const Bit round = bit_of(readings_of(5, 3.62));
  forms.push_back({"roundover", round.profile, round.wanted});
  for (const Form& form : forms) {
    const WishWindow window(form.profile, form.wanted, stock, wishes, 12);
    int within = 0, doubtful = 0;
    for (int i = 0; i < 1500; ++i) {
      const double reach = form.profile.cutting_radius();
      double d = (form.wanted.depth + 1) * u(random), o = reach * (1.2 * u(random) - 0.2);
      if (i % 2 == 0) {  // about the window, the hidden layer apart
        const Span ds = window.depths().back(), os = window.offsets().back();
        d = ds.lo - 0.05 + (ds.hi - ds.lo + 0.1) * u(random);
        o = os.lo - 0.05 + (os.hi - os.lo + 0.1) * u(random);
      }
      const bool surely = good(form.profile, d, o, form.wanted, stock, wishes, -2e-3);
      const bool maybe = good(form.profile, d, o, form.wanted, stock, wishes, 2e-3);
      const bool grazes = std::abs(d - form.profile.height(std::abs(o))) < 0.01;
      if (surely != maybe || grazes) {
        ++doubtful;
        continue;
      }
      INFO(form.name << " depth " << d << " offset " << o);
      if (window.holds(d, o) != surely) FAIL_CHECK("the window says " << !surely);
      within += surely ? 1 : 0;
    }
    INFO(form.name);
    CHECK(doubtful < 120);
    CHECK(within > 20);
  }
}

TEST_CASE("with the working depth read the lip's and the face's chance is a normal one", "[advise]") {
  // D + z - W is normal with variance sigma_z^2 + sigma_W^2; derived.
  const Bit bit = bit_of(readings_of(5, 3.62));
  const Wishes wishes;
  SettingErrors errors;
  const EdgeOdds odds(bit, bit.wanted, stock_of(), wishes, errors);
  const double sigma = std::hypot(0.03, 0.03);
  const WishSet face = WishSet::only(Wish::lip).with(Wish::face_break);
  for (const double d : {3.4, 3.5, 3.542, 3.6, 3.7}) {
    const double lo = 5 * std::cos(wishes.face_break) - 1.38 - d, hi = 3.635 - d;
    CHECK(odds.failure(d, 0.3, face) ==
          Approx(normal_tail(-lo / sigma) + normal_tail(hi / sigma)).epsilon(1e-7));
    CHECK(odds.failure(d, 0.3, WishSet::only(Wish::lip)) == Approx(normal_tail(hi / sigma)).epsilon(1e-6));
  }
  CHECK(odds.depth_sigma() == Approx(sigma));
}

TEST_CASE("with depth and tip flat read the chances of both settings are independent but for the depth",
          "[advise]") {
  RoundoverReadings readings = readings_of(5, 3.62);
  readings.tip_flat = 0.4;
  const Bit bit = bit_of(readings);
  const Wishes wishes;
  SettingErrors errors;
  errors.runout = 0;
  const EdgeOdds odds(bit, bit.wanted, stock_of(), wishes, errors);
  // The band: a - o with variance (0.03 / 2)^2 + 0.02^2.
  const double sigma = std::hypot(0.015, 0.02);
  for (const double o : {0.05, 0.12, 0.2, 0.3})
    CHECK(odds.failure(3.55, o, WishSet::only(Wish::band)) ==
          Approx(normal_tail((0.1 - (0.2 - o)) / sigma)).epsilon(1e-7));
  const WishSet two = WishSet::only(Wish::lip).with(Wish::band);
  const double lip = normal_tail((3.635 - 3.6) / std::hypot(0.03, 0.03)),
               band = normal_tail((0.1 - 0.08) / sigma);
  CHECK(odds.failure(3.6, 0.12, two) == Approx(lip + band - lip * band).epsilon(1e-7));
  CHECK(odds.offset_sigma() == Approx(sigma));
}

TEST_CASE("no errors leave no doubt", "[advise]") {
  const Bit bit = bit_of(readings_of(5, 3.62, 0));
  SettingErrors none;
  none.z = none.xy = none.runout = 0;
  const Stock stock = stock_of({{"cap", 3.1, {}}, {"core", 9, {}}});
  Wishes wishes;
  wishes.hidden = {"core"};
  const EdgeOdds odds(bit, bit.wanted, stock, wishes, none);
  CHECK(odds.failure(3.55, 0.4) == 0);
  CHECK(odds.failure(3.64, 0.4) == 1);
  CHECK(odds.failure(3.55, 0.3) == 1);  // the core shows
  none.z = 0.03;                        // and with only one of them each chance is a plain tail
  const EdgeOdds one(bit, bit.wanted, stock, wishes, none);
  CHECK(one.failure(3.6, 0.46) == Approx(normal_tail(0.035 / 0.03) +
                                         normal_tail((3.6 - (5 * std::cos(wishes.face_break) - 1.38)) / 0.03))
                                      .epsilon(1e-7));
}

TEST_CASE("a sheet zeroed on the spoilboard brings its thickness into the depth", "[advise]") {
  const Bit bit = bit_of(readings_of(5, 3.62));
  SettingErrors errors;
  errors.zero_on = ZeroOn::spoilboard;
  errors.thickness = 0.1;
  const EdgeOdds odds(bit, bit.wanted, stock_of(), Wishes{}, errors);
  const double sigma = std::sqrt(0.03 * 0.03 * 2 + 0.1 * 0.1);
  CHECK(odds.failure(3.5, 0.3, WishSet::only(Wish::lip)) == Approx(normal_tail(0.135 / sigma)).epsilon(1e-7));
}

namespace {

// Draws bits and set-ups, cuts each and looks at the section.
double drawn_failure(const RoundoverReadings& readings, double depth, double offset, const Stock& stock,
                     const Wishes& wishes, const SettingErrors& errors, int n, unsigned seed) {
  std::mt19937_64 random(seed);
  std::normal_distribution<double> normal;
  std::uniform_real_distribution<double> turn(0, 2 * std::numbers::pi);
  const WantedForm wanted = WantedForm::round(readings.radius);
  int bad = 0;
  for (int i = 0; i < n; ++i) {
    RoundoverReadings r = readings;
    const auto error = [&](const std::optional<double>& own) {
      return own.value_or(r.error) * normal(random);
    };
    if (r.working_depth)
      r.working_depth = std::min(r.radius, *r.working_depth + error(r.working_depth_error));
    if (r.tip_flat) r.tip_flat = std::max(0.0, *r.tip_flat + error(r.tip_flat_error));
    if (r.cutting_diameter) *r.cutting_diameter += error(r.cutting_diameter_error);
    Roundover bit = derive_roundover(r);
    const double grown = errors.growth() + errors.growth_sigma() * normal(random);
    bit.tip_radius = std::max(0.0, bit.tip_radius + grown);
    bit.cutting_radius = bit.tip_radius + std::sqrt(r.radius * r.radius - bit.h0() * bit.h0());
    const double d = depth + errors.depth() * normal(random), o = offset + errors.xy * normal(random);
    bad += good(point_roundover(bit, 20), d, o, wanted, stock, wishes) ? 0 : 1;
  }
  return static_cast<double>(bad) / n;
}

}  // namespace

TEST_CASE("chances agree with sections of bits and set-ups drawn at random", "[advise]") {
  const Stock plain = stock_of(), layered = stock_of({{"cap", 3.1, {}}, {"core", 9, {}}});
  Wishes wishes, hidden;
  hidden.hidden = {"core"};
  SettingErrors errors, rough;
  rough.z = 0.06;
  rough.xy = 0.08;
  rough.runout = 0.06;
  struct Case {
    RoundoverReadings readings;
    double depth, offset;
    const Stock* stock;
    const Wishes* wishes;
    const SettingErrors* errors;
  };
  std::vector<Case> cases;
  RoundoverReadings depth = readings_of(5, 3.62), both = depth, across = depth, tip = depth, ends = depth,
                    sharp;
  both.tip_flat = 0.42;
  across.cutting_diameter = 9.98;
  tip.working_depth.reset();
  tip.tip_flat = 0.39;
  ends = tip;
  ends.cutting_diameter = 10;
  ends.tip_flat_error = 0.02;
  ends.cutting_diameter_error = 0.05;
  sharp = readings_of(5, 4.7);
  sharp.tip_flat = 0.06;
  for (const RoundoverReadings& r : {depth, both, across, tip, ends})
    for (const auto& [d, o] : {std::pair{3.55, 0.3}, std::pair{3.62, 0.42}, std::pair{3.5, 0.12}}) {
      cases.push_back({r, d, o, &plain, &wishes, &errors});
      cases.push_back({r, d, o, &layered, &hidden, &rough});
    }
  cases.push_back({sharp, 4.62, 0.0, &plain, &wishes, &rough});
  cases.push_back({sharp, 4.62, 0.03, &layered, &hidden, &rough});
  constexpr int kDraws = 4000;
  unsigned seed = 1;
  for (const Case& c : cases) {
    Bit bit = bit_of(c.readings);
    const EdgeOdds odds(bit, bit.wanted, *c.stock, *c.wishes, *c.errors);
    const double expected = odds.failure(c.depth, c.offset);
    const double drawn =
        drawn_failure(c.readings, c.depth, c.offset, *c.stock, *c.wishes, *c.errors, kDraws, seed++);
    const double sigma = std::sqrt(std::max(1e-6, expected * (1 - expected)) / kDraws);
    INFO("case " << seed - 2 << " depth " << c.depth << " offset " << c.offset << " expected " << expected);
    CHECK(std::abs(drawn - expected) < 4 * sigma + 2e-4);
  }
}

TEST_CASE("other forms agree with settings drawn at random", "[advise]") {
  std::mt19937_64 random(7);
  std::normal_distribution<double> normal;
  const Stock stock = stock_of({{"face", 2.2, {}}, {"core", 20, {}}});
  Wishes wishes;
  wishes.hidden = {"core"};
  Bit bit;
  bit.form = "ogee";
  bit.profile = ogee(3, 2, 3, 0.4, 0.5, 20);
  bit.wanted = wanted_from_profile(bit.profile, 1.5, 0.5);
  SettingErrors errors;
  const EdgeOdds odds(bit, bit.wanted, stock_of(), Wishes{}, errors),
      layered(bit, bit.wanted, stock, wishes, errors);
  for (const auto& [d, o] : {std::pair{5.45, 1.5}, std::pair{5.5, 1.42}, std::pair{2.6, 2.5}}) {
    int bad = 0, bad_layered = 0;
    constexpr int kDraws = 4000;
    for (int i = 0; i < kDraws; ++i) {
      const double dd = d + odds.depth_sigma() * normal(random);
      const double oo = o - errors.growth() + odds.offset_sigma() * normal(random);
      bad += good(bit.profile, dd, oo, bit.wanted, stock_of(), Wishes{}) ? 0 : 1;
      bad_layered += good(bit.profile, dd, oo, bit.wanted, stock, wishes) ? 0 : 1;
    }
    const auto close = [](double drawn, double expected) {
      return std::abs(drawn / kDraws - expected) <
             4 * std::sqrt(std::max(1e-6, expected * (1 - expected)) / kDraws) + 2e-4;
    };
    INFO("depth " << d << " offset " << o << ": " << bad << " " << odds.failure(d, o) << ", " << bad_layered
                  << " " << layered.failure(d, o));
    CHECK(close(bad, odds.failure(d, o)));
    CHECK(close(bad_layered, layered.failure(d, o)));
  }
}
