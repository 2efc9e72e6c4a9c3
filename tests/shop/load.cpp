#include "sim/shop/load.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <numbers>

#include "sim/bit/forms.hpp"
#include "sim/carve/carve.hpp"
#include "sim/error.hpp"
#include "sim/parallel.hpp"
#include "sim/path/move_index.hpp"
#include "sim/shop/cut_area.hpp"
#include "sim/shop/radius_at.hpp"

using namespace ovolo;

namespace {

Profile roundover(double radius, double working_depth) {
  RoundoverReadings readings;
  readings.radius = radius;
  readings.working_depth = working_depth;
  return point_roundover(derive_roundover(readings), 10);
}

Job sheet(Profile profile, const char* form = "point_roundover") {
  Job job;
  job.stock.width = 200;
  job.stock.height = 150;
  job.stock.layers = {{"sheet", 12, {}}};
  Bit bit;
  bit.id = "round5";
  bit.form = form;
  bit.profile = std::move(profile);
  job.bits = {bit};
  job.operations.resize(1);
  job.operations[0].name = "round the rim";
  return job;
}

/// Passes along a chain, each with a level ramp-free cut over all of it.
Plan follow(const std::vector<Segment>& chain, const std::vector<double>& depths, double feed = 1500) {
  Plan plan;
  std::uint32_t pass = 0;
  for (const double depth : depths) {
    for (const Segment& s : chain) {
      Move m;
      m.path = s;
      m.z0 = m.z1 = -depth;
      m.pass = pass;
      m.feed = feed;
      m.spindle = 18000;
      plan.moves.push_back(m);
    }
    ++pass;
  }
  return plan;
}

const std::vector<Segment> kStraight{Segment::line({-20, 75}, {220, 75})};

/// A path from off the sheet to off the sheet that bends both ways.
std::vector<Segment> winding() {
  std::vector<Segment> chain;
  chain.push_back(Segment::line({-20, 40}, {120, 40}));
  chain.push_back(Segment::arc({120, 60}, 20, -std::numbers::pi / 2, std::numbers::pi / 2));
  chain.push_back(Segment::line({140, 60}, {140, 80}));
  chain.push_back(Segment::arc({146, 80}, 6, std::numbers::pi, -std::numbers::pi / 2));
  chain.push_back(Segment::line({146, 86}, {220, 86}));
  return chain;
}

double volume_after(const Job& job, const Plan& plan, std::uint32_t passes, double cell) {
  Plan part = plan;
  std::erase_if(part.moves, [&](const Move& m) { return m.pass >= passes; });
  CarveOptions options;
  options.cell = cell;
  return removed_volume(carve(job, part, MoveIndex(part, job), options), job.stock).total;
}

std::vector<PassLoad> loads_of(const Job& job, const Plan& plan, const LoadOptions& options = {}) {
  return pass_loads(job, plan, Material{}, options);
}

}  // namespace

TEST_CASE("contact across a flat sheet and after a first pass", "[shop]") {
  const Profile bit = roundover(5, 3.62);
  const Engagement whole = engagement(bit, -2.4, [](double, double) { return 0.0; });
  CHECK(whole.area == Approx(pass_area(bit, {0, true}, 2.4)).epsilon(2e-4));
  CHECK(whole.depth == Approx(2.4).margin(1e-6));
  CHECK(whole.inner == 0);
  const double rim = 5 - std::sqrt(25 - (2.4 + 1.38) * (2.4 + 1.38));
  CHECK(whole.outer == Approx(rim).margin(0.03));
  CHECK(whole.width == Approx(2 * rim).margin(0.05));
  const auto after = [&](double v, double) { return std::min(0.0, -2.4 + bit.height(std::fabs(v))); };
  const Engagement second = engagement(bit, -3.55, after);
  CHECK(second.area ==
        Approx(pass_area(bit, {0, true}, 3.55) - pass_area(bit, {0, true}, 2.4)).epsilon(1e-3));
  CHECK(engagement(bit, -2, after).area == 0);
  CHECK(engagement(bit, 1, [](double, double) { return 0.0; }).area == 0);
  // Material on one side only; nothing below the sheet counts.
  const auto half = [](double v, double) { return v > 0 ? 0.0 : -std::numeric_limits<double>::infinity(); };
  CHECK(engagement(bit, -2.4, half).area == Approx(whole.area / 2));
  EngagementOptions options;
  options.bottom = -1;
  CHECK(engagement(
            bit, -2.4, [](double, double) { return 0.0; }, options)
            .area < whole.area);
}

TEST_CASE("the thickest chip: all of the advance head on, less at the side", "[shop]") {
  const Profile bit = straight(6, 20);
  for (const ContactSlice& s : engagement(bit, -3, [](double, double) { return 0.0; }).slices) {
    CHECK(s.width == Approx(6));
    CHECK(s.chip == Approx(1));
  }
  // Only the outer 1 mm of one side: the chip leans by acos-of-2/3.
  const auto side = [](double v, double) { return v > 2 ? 0.0 : -std::numeric_limits<double>::infinity(); };
  for (const ContactSlice& s : engagement(bit, -3, side).slices) {
    CHECK(s.width == Approx(1).margin(0.02));
    CHECK(s.chip == Approx(std::sqrt(1 - 4.0 / 9)).margin(0.01));
  }
}

TEST_CASE("bending of a straight bit by its closed form", "[shop]") {
  // A uniform load q over the depth d, held at the end of the cutting length L: M = q d (L - d/2), stress 4 M
  // / (pi r^3).
  const Profile bit = straight(6, 20);
  const Engagement e = engagement(bit, -3, [](double, double) { return 0.0; });
  const TipLoad t = tip_load(bit, e, 0.1, 40, {}, 20);
  const double q = 3 * 40 * 0.1, core = 0.5 * 3;
  CHECK(t.force == Approx(q * 3));
  CHECK(t.stress == Approx(4 * q * 3 * (20 - 1.5) / (std::numbers::pi * core * core * core)).epsilon(1e-6));
  CHECK(t.height == Approx(20));
  CHECK(t.index == Approx(100 * t.stress / 2000));
  // Where nobody tells the cutting length, the bit is looked at where it cuts.
  const TipLoad untold = tip_load(bit, e, 0.1, 40);
  CHECK(untold.stress == Approx(4 * q * 3 * 1.5 / (std::numbers::pi * core * core * core)).epsilon(1e-6));
  CHECK(untold.height == Approx(3));
}

TEST_CASE("a slender tip is weakest near its end, and twice the chip bends it twice as hard", "[shop]") {
  const Profile bit = roundover(5, 3.62);
  const Engagement e = engagement(bit, -3.55, [](double, double) { return 0.0; });
  const TipLoad t = tip_load(bit, e, 0.1, 40);
  CHECK(t.height > 0.1);
  CHECK(t.height < 3);
  CHECK(tip_load(bit, e, 0.2, 40).stress == Approx(2 * t.stress));
  // By plain summing: q is uniform up to the face, moment q H^2 / 2 below it.
  double worst = 0;
  for (int i = 1; i <= 355; ++i) {
    const double h = i / 100.0, r = 0.5 * (5 - std::sqrt(25 - (h + 1.38) * (h + 1.38)));
    worst = std::max(worst, 4 * 3 * 40 * 0.1 * h * h / 2 / (std::numbers::pi * r * r * r));
  }
  CHECK(t.stress == Approx(worst).epsilon(0.02));
  CHECK(slender_tip(bit));
  CHECK_FALSE(slender_tip(straight(6, 20)));
  CHECK_FALSE(slender_tip(ball(6, 10)));
}

TEST_CASE("radius of a bit by height, also where it falls on the way up", "[shop]") {
  const Profile bit = roundover(5, 3.62);
  for (const double h : {0.3, 1.0, 2.5})
    CHECK(radius_at(bit, h) == Approx(5 - std::sqrt(25 - (h + 1.38) * (h + 1.38))));
  CHECK(radius_at(bit, 0) == Approx(bit.tip_flat_radius()));
  CHECK(radius_at(bit, 6) == Approx(5));
  CHECK(radius_at(bit, 60) == Approx(5));
  const Profile slot({Segment::line({0, 0}, {8, 0}), Segment::line({8, 0}, {8, 4}),
                      Segment::line({8, 4}, {3, 4}), Segment::line({3, 4}, {3, 12})});
  CHECK(radius_at(slot, 2) == 8);
  CHECK(radius_at(slot, 9) == 3);
}

TEST_CASE("a straight path's passes have the closed form's sections", "[shop]") {
  const Job job = sheet(roundover(5, 3.62));
  const auto loads = loads_of(job, follow(kStraight, {2.4, 3.55}));
  REQUIRE(loads.size() == 2);
  const double first = pass_area(job.bits[0].profile, {0, true}, 2.4);
  const double second = pass_area(job.bits[0].profile, {0, true}, 3.55) - first;
  CHECK(loads[0].section.max == Approx(first).epsilon(1e-3));
  CHECK(loads[1].section.max == Approx(second).epsilon(1e-3));
  CHECK(loads[0].rate.max == Approx(first * 25).epsilon(1e-3));
  CHECK(loads[0].power.value == Approx(40 * first * 25 / 1000).epsilon(1e-3));  // N/mm^2 * mm^3/s = mW
  CHECK(loads[0].power.low == Approx(15.0 / 40 * loads[0].power.value));
  CHECK(loads[0].index.high == Approx(2 * loads[0].index.value));
  CHECK(loads[0].chip_load == Approx(1500.0 / 18000 / 2));
  CHECK(loads[0].high_chip == Approx(1500.0 / 18000 / 2 + 0.02));
  CHECK(loads[0].inner_speed == 0);
  const double rim = 5 - std::sqrt(25 - (2.4 + 1.38) * (2.4 + 1.38));
  CHECK(loads[0].outer_speed == Approx(2 * std::numbers::pi * rim * 300 / 1000).epsilon(0.01));
  CHECK(loads[0].length == 240);
  CHECK(loads[1].width > loads[0].width);
}

TEST_CASE("volumes by the loads are the differences of two carved sheets", "[shop]") {
  const Contour round = Contour::rectangle({100, 75}, {120, 90}, 15);
  const Contour sharp = Contour::rectangle({100, 75}, {90, 50}, 0);
  struct Case {
    std::vector<Segment> chain;
    Profile bit;
  };
  const std::vector<Segment> open{Segment::line({40, 40}, {90, 100}), Segment::line({90, 100}, {110, 30})};
  const std::vector<Case> cases{{winding(), roundover(5, 3.62)},
                                {winding(), straight(6, 20)},
                                {round.segments(), roundover(5, 3.62)},
                                {sharp.segments(), roundover(5, 3.62)},
                                {open, roundover(5, 3.62)},
                                {open, ball(6, 20)}};
  const double cell = 0.05;
  for (std::size_t k = 0; k < cases.size(); ++k) {
    CAPTURE(k);
    const Job job = sheet(cases[k].bit);
    const Plan plan = follow(cases[k].chain, {1.2, 2.4, 3.55});
    const auto loads = loads_of(job, plan);
    double before = 0;
    for (std::uint32_t pass = 0; pass < 3; ++pass) {
      CAPTURE(pass);
      const double after = volume_after(job, plan, pass + 1, cell);
      CHECK(loads[pass].volume == Approx(after - before).epsilon(0.003));
      before = after;
    }
  }
}

TEST_CASE("volumes of passes round sharp corners and open ends have their closed forms", "[shop]") {
  // Derived: a disc of radius r swept along a convex closed path with sharp corners of 90 degrees covers 2 r
  // of its length, a whole disc around the corners, and four squares less inside; along an open path 2 r of
  // its length and a disc.
  const double r = 3;
  const Job job = sheet(straight(2 * r, 20));
  const Contour sharp = Contour::rectangle({100, 75}, {90, 50}, 0);
  const double footprint = 2 * r * 280 + std::numbers::pi * r * r - 4 * r * r;
  const auto passes = loads_of(job, follow(sharp.segments(), {1.2, 2.4, 3.55}));
  CHECK(passes[0].volume == Approx(1.2 * footprint).epsilon(1e-3));
  CHECK(passes[1].volume == Approx(1.2 * footprint).epsilon(1e-3));
  CHECK(passes[2].volume == Approx(1.15 * footprint).epsilon(1e-3));
  const auto line = loads_of(job, follow({Segment::line({40, 75}, {150, 75})}, {2}));
  CHECK(line[0].volume == Approx(2 * (2 * r * 110 + std::numbers::pi * r * r)).epsilon(1e-3));
}

TEST_CASE("volumes of a pocket's passes are those of the pocket", "[shop]") {
  // Derived: a pocket W x H with corners of the bit's radius, ramps and all.
  Job job = sheet(straight(6, 20), "straight");
  NamedContour pocket;
  pocket.id = "pocket";
  pocket.contour = Contour::rectangle({100, 75}, {60, 40}, 0);
  pocket.at = {{0, 0}, {-62, 0}};
  job.contours = {pocket};
  Operation& op = job.operations[0];
  op.kind = OperationKind::pocket;
  op.bit = 0;
  op.contour = 0;
  op.keep = Keep::outside;
  op.depth = 5;
  op.passes = {2, 4, 5};
  op.feed = 1500;
  op.spindle = 18000;
  const double area = 60 * 40 - (4 - std::numbers::pi) * 9;
  LoadOptions options;
  options.most_places = 20;
  for (const auto& [stepover, ramp] : {std::pair{1.5, 25.0}, {4.1, 0.0}}) {
    CAPTURE(stepover, ramp);
    op.stepover = stepover;
    op.ramp = ramp;
    const auto loads = loads_of(job, make_plan(job), options);
    REQUIRE(loads.size() == 3);
    CHECK(loads[0].volume == Approx(2 * 2 * area).epsilon(2e-3));
    CHECK(loads[1].volume == Approx(2 * 2 * area).epsilon(2e-3));
    CHECK(loads[2].volume == Approx(2 * 1 * area).epsilon(2e-3));
  }
}

TEST_CASE("volumes of undercut and turned jobs count the material once", "[shop]") {
  // Derived: a dovetail through solid stock takes its trapezoid; where a straight bit went before, the rest.
  Job job = sheet(dovetail(0.25, 12, 9, 20), "dovetail");
  Bit mill;
  mill.id = "mill";
  mill.form = "straight";
  mill.profile = straight(6, 20);
  job.bits.push_back(mill);
  Plan plan = follow({Segment::line({-20, 75}, {220, 75})}, {8, 8});
  plan.moves[0].bit = 1;
  const double tail = 8 * (12 - 8 * std::tan(0.25));
  const auto voxels = loads_of(job, plan);
  CHECK(voxels[0].volume == Approx(200 * 8 * 6).epsilon(1e-3));
  CHECK(voxels[1].volume == Approx(200 * (tail - 8 * 6)).epsilon(2e-3));
}

TEST_CASE("sections along a pocket's rings and round corners are what two carved sheets differ by",
          "[shop]") {
  // At places all along the way, the first of each ring and those just before corners included.
  Job job = sheet(straight(6, 20), "straight");
  const auto rings = [](double stepover) {
    std::vector<Segment> chain;
    for (int ring = 2; ring >= 0; --ring) {
      const double in = 3 + ring * stepover;
      const Contour path = Contour::rectangle({100, 75}, {40 - 2 * in, 30 - 2 * in}, 0);
      if (!chain.empty()) chain.push_back(Segment::line(chain.back().b, path.point(0)));
      for (const Segment& s : path.segments()) chain.push_back(s);
    }
    return chain;
  };
  for (const Profile& bit : {straight(6, 20), roundover(5, 3.62)}) {
    job.bits[0].profile = bit;
    const Plan plan = follow(rings(2.2), {2});
    LoadOptions options;
    options.spacing = 4.6;
    const auto loads = loads_of(job, plan, options);
    CarveOptions how;
    how.cell = 0.03;
    const double ds = 0.1;
    const auto cut_until = [&](double s, const Box2& window) {
      Plan part = plan;
      part.moves.clear();
      for (const Move& m : plan.moves) {
        Move some = m;
        const double length = m.path.length();
        if (s <= 0) break;
        if (s < length) some.path = m.path.part(0, s);
        part.moves.push_back(some);
        s -= length;
      }
      how.window = window;
      return removed_volume(carve(job, part, MoveIndex(part, job), how), job.stock).total;
    };
    REQUIRE(loads[0].along.size() > 40);
    int looked_at = 0;
    for (const LoadPlace& place : loads[0].along) {
      const bool corner = place.s > 3 && std::fabs(std::remainder(place.s / 4.6 - 0.5, 1)) > 1e-6;
      CAPTURE(place.s, place.at.x, place.at.y, corner);
      Box2 window;
      window.add(place.at);
      window = window.grown(bit.cutting_radius() + ds);
      double corner_at = 0, nearest = ds;  // the section changes at once where a corner is passed
      for (const Move& m : plan.moves)
        nearest = std::min(nearest, std::fabs((corner_at += m.path.length()) - place.s));
      if (!corner && nearest < ds) continue;
      const double from = place.s - (corner ? ds : ds / 2), to = from + ds;
      const double brute = (cut_until(to, window) - cut_until(from, window)) / ds;
      CHECK(place.section == Approx(brute).epsilon(0.03).margin(0.25));
      ++looked_at;
    }
    CHECK(looked_at > 40);
  }
}

TEST_CASE("sections by the loads are the differences of two carved sheets across the path", "[shop]") {
  const Job job = sheet(roundover(5, 3.62));
  Plan plan = follow(kStraight, {2.4, 3.55});
  // An earlier cut beside the line takes part of the second one's material away.
  Move beside = plan.moves[0];
  beside.path = Segment::line({-20, 78}, {220, 78});
  beside.z0 = beside.z1 = -3;
  plan.moves.insert(plan.moves.begin(), beside);
  plan.moves[1].pass = 1;
  plan.moves[2].pass = 2;
  const auto loads = loads_of(job, plan);
  REQUIRE(loads.size() == 3);
  CarveOptions options;
  options.cell = 0.02;
  options.window = Box2{{100, 60}, {100.02, 90}};
  const auto section = [&](std::size_t moves) {
    Plan part = plan;
    part.moves.resize(moves);
    const Heightfield field = carve(job, part, MoveIndex(part, job), options);
    double area = 0;
    for (std::int64_t j = 0; j < field.rows(); ++j) area -= field.at(0, j) * options.cell;
    return area;
  };
  for (std::size_t pass = 0; pass < 3; ++pass)
    CHECK(loads[pass].section.max == Approx(section(pass + 1) - section(pass)).epsilon(0.002));
}

TEST_CASE("a pass that comes back over its own cut meets nothing", "[shop]") {
  const Job job = sheet(roundover(5, 3.62));
  Plan plan = follow({Segment::line({20, 75}, {180, 75}), Segment::line({180, 75}, {20, 75})}, {3});
  LoadOptions options;
  options.spacing = 1;
  options.most_places = 1000;
  const double section = pass_area(job.bits[0].profile, {0, true}, 3);
  const auto loads = loads_of(job, plan, options);
  CHECK(loads[0].section.max == Approx(section).epsilon(1e-3));
  CHECK(loads[0].volume == Approx(section * 160).epsilon(0.1));
}

TEST_CASE("loads do not depend on the number of threads", "[shop]") {
  const Job job = sheet(roundover(5, 3.62));
  const Plan plan = follow(winding(), {1.2, 3.55});
  const auto many = loads_of(job, plan);
  const ThreadLimit limit(1);
  const auto one = loads_of(job, plan);
  for (std::size_t i = 0; i < many.size(); ++i) {
    CHECK(one[i].volume == many[i].volume);
    CHECK(one[i].tip.stress == many[i].tip.stress);
  }
}

TEST_CASE("slower passes spare the tip", "[shop]") {
  const Job job = sheet(roundover(5, 3.62));
  const auto fast = loads_of(job, follow(kStraight, {3.55}, 2540));
  const auto slow = loads_of(job, follow(kStraight, {2.4, 3.55}, 1270));
  CHECK(slow[0].tip.index < fast[0].tip.index);
  CHECK(slow[1].tip.index < fast[0].tip.index);
}

TEST_CASE("warnings name the limit and the mend", "[shop]") {
  Job job = sheet(roundover(5, 3.62));
  Plan plan = follow({Segment::line({20, 75}, {180, 75})}, {3.55});
  Move plunge = plan.moves[0];
  plunge.path = Segment::line({20, 75}, {20, 75});
  plunge.z0 = 5;
  plunge.role = MoveRole::plunge;
  plan.moves.insert(plan.moves.begin(), plunge);
  const auto codes = [&](const Material& m) {
    std::string all;
    for (const Warning& w : load_warnings(job, loads_of(job, plan), m)) all += w.code + " ";
    return all;
  };
  CHECK(loads_of(job, plan)[0].plunge == Approx(3.55));
  CHECK(codes(Material{}) == "slender-plunge ");
  for (Move& m : plan.moves) m.spindle = 25000;
  CHECK(codes(Material{}) == "spindle-above-usual slender-plunge ");
  job.bits[0].max_spindle = 20000;
  CHECK(codes(Material{}) == "spindle-above-mark slender-plunge ");
  job.bits[0].max_spindle = 30000;
  Material narrow;
  narrow.chip_load = ChipRange{0.001, 0.002};
  CHECK(codes(narrow) == "chip-load-high slender-plunge ");
  narrow.chip_load = ChipRange{0.2, 0.3};
  CHECK(codes(narrow) == "chip-load-low slender-plunge ");
  for (Move& m : plan.moves) m.feed = 60000;
  CHECK(codes(material("mdf")).find("chip-load-high") != std::string::npos);
  CHECK(codes(material("mdf")).find("tip-load") != std::string::npos);
  job = sheet(straight(6.35, 20), "straight");
  for (Move& m : plan.moves) m.feed = 1000;
  CHECK(codes(material("hardwood")) == "spindle-above-usual chip-load-low ");
  // No feed is advised that the machine cannot run.
  const auto low = [&] { return load_warnings(job, loads_of(job, plan), material("hardwood"))[1].text; };
  CHECK(low().find("set feed to 11430 mm/min (450.0 in/min) or more") !=
        std::string::npos);  // 0.009 in, 2 flutes, 25000 rpm
  job.shop.machine.rapid = 8000;
  CHECK(low().find("set feed") == std::string::npos);
  CHECK(low().find("turn slower or use a bit with fewer flutes") != std::string::npos);
}

TEST_CASE("an undercut bit takes only what lies within its chain", "[shop]") {
  // Derived: a dovetail through solid stock takes its trapezoid, a T slot bit its head.
  const auto solid = [](double, double) { return 0.0; };
  const double lean = std::tan(0.25);
  const Engagement tail = engagement(dovetail(0.25, 12, 9, 20), -8, solid);
  CHECK(tail.area == Approx(8 * (12 - 8 * lean)).epsilon(0.01));
  EngagementOptions fine;
  fine.columns = 512;
  const auto opened = [](double v, double) { return std::fabs(v) < 4 ? -1e300 : 0.0; };
  const Engagement head = engagement(t_slot(16, 4, 8, 30), -10, opened, fine);
  CHECK(head.area == Approx(8 * 4).epsilon(0.01));
  CHECK(head.depth == Approx(4));
  CHECK(head.outer == Approx(8));
}
