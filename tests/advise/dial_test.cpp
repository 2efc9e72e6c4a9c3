// The best setting against a dense search and closed forms; conflicts and what they ask for.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "sim/advise/dial.hpp"
#include "sim/advise/dial_search.hpp"
#include "sim/bit/forms.hpp"
#include "tests/support/roundover_bit.hpp"

using namespace ovolo;
using tests::roundover_bit;

namespace {

Job job_of(double radius, double working_depth, std::vector<Layer> layers = {{"all", 20, {}}}) {
  Job job;
  job.stock.width = job.stock.height = 300;
  job.stock.layers = std::move(layers);
  job.bits.push_back(roundover_bit("round", radius, working_depth, 25));
  Operation op;
  op.name = "rim";
  op.contour = 0;
  op.depth = radius;
  op.passes = {radius};
  job.operations.push_back(op);
  return job;
}

bool speaks_of(const std::vector<std::string>& texts, const std::string& what) {
  for (const std::string& t : texts)
    if (t.find(what) != std::string::npos) return true;
  return false;
}

}  // namespace

TEST_CASE("the best setting is no worse than any of a dense search", "[advise]") {
  Job job = job_of(5, 3.62, {{"cap", 3.1, {}}, {"core", 12, {}}});
  SettingErrors errors;
  for (const bool hidden : {false, true}) {
    if (hidden) job.wishes.hidden = {"core"};
    const DialedEdge best = dial_edge(job, 0, errors);
    const EdgeCase edge = EdgeCase::of(job, 0);
    const EdgeOdds odds(edge.bit, edge.wanted, edge.stock, edge.wishes, errors);
    CHECK(best.failure == odds.failure(best.depth, best.offset));
    double least = 1;
    for (int i = 0; i <= 30; ++i)
      for (int k = 0; k <= 60; ++k)
        least = std::min(least, odds.failure(3.4 + 0.3 * i / 30, 0.05 + 0.5 * k / 30));
    INFO("hidden " << hidden << " depth " << best.depth << " offset " << best.offset);
    CHECK(best.failure <= least + 1e-4);  // chances that near are equal, the least gouge decides
    CHECK(best.failure > least - 1e-3);   // and the search was dense enough to tell
    CHECK(best.measures.gouge < 1e-6);
  }
}

TEST_CASE("where lip and face break alone decide, the depth is midway between their limits", "[advise]") {
  // Derived: the chance of a normal value lying in an interval is largest at its middle.
  Job job = job_of(5, 3.62);
  const DialedEdge best = dial_edge(job, 0, SettingErrors{});
  const double lo = 5 * std::cos(job.wishes.face_break) - 1.38, hi = 3.635;
  CHECK(best.depth == Approx((lo + hi) / 2).margin(1e-3));
  CHECK(best.failure ==
        Approx(std::erfc((hi - lo) / 2 / std::hypot(0.03, 0.03) / std::numbers::sqrt2)).epsilon(0.01));
  CHECK(best.deeper.room.breaks == Wish::lip);
  CHECK(best.shallower.room.breaks == Wish::face_break);
  CHECK(best.inward.room.breaks == Wish::band);
  CHECK(best.outward.room.breaks == Wish::wall_break);
  CHECK(best.deeper.room.distance + best.shallower.room.distance == Approx(hi - lo).margin(1e-9));
  CHECK(*best.deeper.there.lip == Approx(0.015 + 0.05).margin(1e-6));
  CHECK(best.conflicts.empty());
  CHECK(best.failure_now == Approx(1));
  CHECK(best.failure_with_better_zero < best.failure);
  CHECK(best.failure_with_better_readings < best.failure);
}

TEST_CASE("no errors: every setting within is sure, and the one nearest to the form is taken", "[advise]") {
  Job job = job_of(5, 3.62);
  job.bits[0].roundover->readings.error = 0;
  SettingErrors none;
  none.z = none.xy = none.runout = 0;
  const DialedEdge best = dial_edge(job, 0, none);
  CHECK(best.failure == 0);
  const EdgeCase edge = EdgeCase::of(job, 0);
  CHECK(edge.window().holds(best.depth, best.offset));
  CHECK(best.measures.gouge < 1e-5);
  // Nothing lies nearer than the curve's top on the face and the tip flat's rim on the wall.
  CHECK(best.measures.excess < edge.measure(3.62, job.bits[0].roundover->tip_radius).excess + 0.02);
}

TEST_CASE("of equal chances the least gouge is taken", "[advise]") {
  // A round smaller than the bit's is wanted: every cut gouges it, least with the axis far out.
  Job job = job_of(5, 3.62);
  job.operations[0].wanted = WantedForm::round(4);
  const SettingErrors errors;
  const DialedEdge best = dial_edge(job, 0, errors);
  const EdgeCase edge = EdgeCase::of(job, 0);
  const EdgeOdds odds(edge.bit, edge.wanted, edge.stock, edge.wishes, errors);
  const Setting surest = least_failure(odds, edge.window(), WishSet::all());
  const double least = odds.failure(surest.depth, surest.offset);
  CHECK(best.failure <= least + 1.01e-4);
  CHECK(best.measures.gouge < edge.measure(surest.depth, surest.offset).gouge - 1e-3);
  // No setting of a dense search is as likely and gouges clearly less.
  for (int i = 0; i <= 40; ++i)
    for (int k = 0; k <= 40; ++k) {
      const double d = 3.44 + 0.2 * i / 40, o = 0.1 + 0.4 * k / 40;
      if (odds.failure(d, o) <= least + 1e-4) CHECK(edge.measure(d, o).gouge > best.measures.gouge - 2e-3);
    }
}

TEST_CASE("of equal chances without gouge the one nearest to the form is taken", "[advise]") {
  Job job = job_of(5, 3.62);
  const SettingErrors errors;
  const DialedEdge best = dial_edge(job, 0, errors);
  const EdgeCase edge = EdgeCase::of(job, 0);
  const EdgeOdds odds(edge.bit, edge.wanted, edge.stock, edge.wishes, errors);
  const Setting surest = least_failure(odds, edge.window(), WishSet::all());
  const double least = odds.failure(surest.depth, surest.offset);
  CHECK(best.measures.gouge < 1e-6);
  CHECK(best.offset < surest.offset - 0.03);
  CHECK(best.failure <= least + 1.01e-4);
  for (int i = 0; i <= 60; ++i)
    for (int k = 0; k <= 60; ++k) {
      const double d = 3.5 + 0.08 * i / 60, o = 0.1 + 0.3 * k / 60;
      if (odds.failure(d, o) > least + 1e-4) continue;
      const SectionMeasures m = edge.measure(d, o);
      if (m.gouge < 1e-6) CHECK(m.excess > best.measures.excess - 4e-3);
    }
}

TEST_CASE("a bit that works too shallow cannot meet the wall break", "[advise]") {
  // Derived: the curve ends asin(h0 / R) short of upright: 25 degrees need W >= R (1 - sin 25 deg) = 2.887 of
  // 5 mm.
  Job job = job_of(5, 2.6);
  job.bits[0].roundover->readings.error = 0.01;
  const DialedEdge best = dial_edge(job, 0, SettingErrors{});
  REQUIRE(best.conflicts.size() == 1);
  CHECK(best.conflicts[0].wishes == std::vector{Wish::wall_break});
  const double W = 5 * (1 - std::sin(job.wishes.wall_break));
  CHECK(speaks_of(best.conflicts[0].cures, "works 2.89 mm"));
  CHECK(W == Approx(2.887).margin(1e-3));
  // asin(2.4 / 5) is 28.7 degrees.
  CHECK(speaks_of(best.conflicts[0].cures, "wall break of 28.7 degrees"));
  CHECK(best.set_aside == std::vector{Wish::wall_break});
  CHECK(best.depth == Approx(2.6 + (0.015 - 5 * (1 - std::cos(job.wishes.face_break))) / 2).margin(2e-3));
}

TEST_CASE("a face layer too thin for the round names its conflict and the thickness it takes", "[advise]") {
  Job job = job_of(5, 3.62, {{"cap", 2, {}}, {"core", 12, {}}});
  job.wishes.hidden = {"core"};
  const DialedEdge best = dial_edge(job, 0, SettingErrors{});
  REQUIRE(best.conflicts.size() == 1);
  const auto& wishes = best.conflicts[0].wishes;
  CHECK(std::find(wishes.begin(), wishes.end(), Wish::hidden) != wishes.end());
  CHECK(wishes.size() == 3);  // with the face break and the wall break
  // The highest foot: as shallow as the face break and as far out as the wall break allow (derived).
  const double foot = 5 * std::cos(job.wishes.face_break) - 5 * std::sin(job.wishes.wall_break);
  CHECK(foot > 2);
  char text[32];
  std::snprintf(text, sizeof text, "%.2f mm", std::ceil(foot * 100) / 100);
  CHECK(speaks_of(best.conflicts[0].cures, text));
  // The setting leaves the wall break aside, but no further than it takes to cover the core: with the foot at
  // the core asin((D + h0 - 2) / 5), and a little for the errors.
  REQUIRE(best.set_aside == std::vector{Wish::wall_break});
  REQUIRE(best.measures.wall_break);
  REQUIRE(best.measures.foot_depth);
  const double least = std::asin((best.depth + 5 - 3.62 - 2) / 5);
  CHECK(*best.measures.foot_depth < 2);
  CHECK(*best.measures.wall_break > least);
  CHECK(*best.measures.wall_break < least + 4 * std::numbers::pi / 180);
  CHECK(best.failures[static_cast<std::size_t>(Wish::hidden)] < 0.06);
}

TEST_CASE("band and wall break in conflict ask for a deeper working bit", "[advise]") {
  Job job = job_of(5, 3);
  job.wishes.band = 0.01;
  job.wishes.wall_break = 24.2 * std::numbers::pi / 180;
  const DialedEdge best = dial_edge(job, 0, SettingErrors{});
  // asin(2 / 5) is 23.6 degrees: within on its own, and so is the band further out; both together too (the
  // axis at the tip flat's rim), but the window is narrow and the chance small.
  CHECK(best.conflicts.empty());
  CHECK(best.failure > 0.3);
  job.wishes.wall_break = 23 * std::numbers::pi / 180;
  CHECK(dial_edge(job, 0, SettingErrors{}).conflicts.size() == 1);
}

TEST_CASE("an ogee and an ovolo with fillets are dialled too", "[advise]") {
  for (const bool is_ogee : {true, false}) {
    Job job = job_of(5, 3.62);
    Bit bit;
    bit.id = "form";
    bit.profile = is_ogee ? ogee(3, 2, 3, 0.4, 0.5, 20) : ovolo_form(4, 2, 0.5, 0.6, 20);
    bit.wanted =
        is_ogee ? wanted_from_profile(bit.profile, 1.5, 0.5) : wanted_from_profile(bit.profile, 1, 0.6);
    job.bits[0] = bit;
    const DialedEdge best = dial_edge(job, 0, SettingErrors{});
    CHECK(best.unanswered.empty());
    CHECK(best.failure < 0.5);
    CHECK(best.deeper.room.distance > 0);
  }
}

TEST_CASE("forms without a roundover's breaks keep their size", "[advise]") {
  // The smallest touch of the bit meets every wish best; nobody asks for that.
  Job job = job_of(5, 3.62);
  Bit bit;
  bit.id = "form";
  bit.form = "cove";
  bit.profile = cove(6, 1, 20);
  bit.wanted = wanted_from_profile(bit.profile, 0.5, 0);
  job.bits[0] = bit;
  const DialedEdge coved = dial_edge(job, 0, SettingErrors{});
  REQUIRE(coved.measures.foot_depth);
  CHECK(*coved.measures.foot_depth == Approx(bit.wanted.depth).epsilon(0.1));
  CHECK(coved.measures.round_width == Approx(bit.wanted.width).epsilon(0.1));
  // A chamfer's size is the scene's own: 4 mm, though the bit could cut 10.
  bit.form = "chamfer";
  bit.profile = chamfer(std::numbers::pi / 4, 2, 22, 20);
  bit.wanted = wanted_from_profile(bit.profile, 1, 0);
  job.bits[0] = bit;
  job.operations[0].depth = 4;
  job.operations[0].offset = 0;
  const DialedEdge bevelled = dial_edge(job, 0, SettingErrors{});
  REQUIRE(bevelled.measures.foot_depth);
  CHECK(*bevelled.measures.foot_depth == Approx(4).epsilon(0.02));
  CHECK(bevelled.measures.round_width == Approx(4).epsilon(0.02));
  CHECK(*bevelled.measures.band <= job.wishes.band);
  CHECK(bevelled.failure < 0.01);
}

TEST_CASE("a plain cutter has nothing to dial", "[advise]") {
  Job job = job_of(5, 3.62);
  Bit bit;
  bit.id = "mill";
  bit.profile = straight(6, 20);
  job.bits[0] = bit;
  CHECK_FALSE(dial_edge(job, 0, SettingErrors{}).unanswered.empty());
}
