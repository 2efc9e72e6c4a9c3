// Folded sections against closed forms (derived; anyone can redo them) and against points classified by brute
// force.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "sim/bit/body.hpp"
#include "sim/bit/forms.hpp"
#include "sim/measure/section.hpp"
#include "sim/path/plan.hpp"
#include "tests/support/folded_jobs.hpp"
#include "tests/support/slow_twin.hpp"

using namespace ovolo;
using namespace ovolo::test;

namespace {

constexpr double kPi = std::numbers::pi;

Section section_of(const Job& job, Vec2 origin, Vec2 normal, double u_max) {
  const Plan plan = make_plan(job);
  const MoveIndex index(plan, job);
  return SectionMaker(job, plan, index).make({origin, normal, u_max});
}

Section across_board(const Job& job, double u_max = 60) { return section_of(job, {200, 100}, {0, 1}, u_max); }

double area_of(const Section& s) {
  const auto polygon = polygon_of(s.pieces, 4096);
  double twice = 0;
  for (std::size_t i = 0; i < polygon.size(); ++i)
    twice += cross(polygon[(i + 1) % polygon.size()], polygon[i]);
  return twice / 2;
}

// Pieces join end to end, arcs are monotone, ends lie on the sheet.
void check_whole(const Section& s) {
  REQUIRE(s.folded);
  REQUIRE_FALSE(s.pieces.empty());
  for (std::size_t i = 0; i + 1 < s.pieces.size(); ++i) {
    INFO("piece " << i << " of " << s.pieces.size());
    CHECK(distance(s.pieces[i].end(), s.pieces[i + 1].start()) < 1e-6);
  }
}

}  // namespace

TEST_CASE("a bullnose that fits its sheet leaves half a circle", "[folded]") {
  Job job = board(18);
  job.bits.push_back(bit_of("bullnose", bullnose(9, 12, 1, 30)));
  job.operations.push_back(pass_along(0, 19, 6));
  const Section s = across_board(job);
  check_whole(s);
  REQUIRE(s.pieces.size() == 4);  // lower face, two quarters, top face
  CHECK(s.pieces[0].face == SectionFace::bottom);
  CHECK(s.pieces[3].face == SectionFace::top);
  for (const int i : {1, 2}) {
    const SectionPiece& p = s.pieces[static_cast<std::size_t>(i)];
    CHECK(p.kind == SectionPiece::Kind::arc);
    CHECK(p.shape.radius == 9);
    CHECK(distance(p.shape.centre, {9, -9}) < 1e-9);
    CHECK(p.operation == 0);
  }
  CHECK(distance(s.pieces[1].end(), {0, -9}) < 1e-6);
  CHECK(area_of(s) == Approx(18 * 60 - (2 - kPi / 2) * 81).epsilon(1e-6));
  CHECK(*s.thinnest == Approx(18).margin(1e-9));
}

TEST_CASE("a bullnose that runs low leaves a step above and cuts short below", "[folded]") {
  Job job = board(18);
  job.bits.push_back(bit_of("bullnose", bullnose(9, 12, 1, 30)));
  job.operations.push_back(pass_along(0, 19.4, 6));
  const Section s = across_board(job);
  check_whole(s);
  // The step is upright at the bit's full radius, 9 mm in, 0.4 mm high.
  const SectionPiece& step = s.pieces[s.pieces.size() - 2];
  CHECK(step.upright());
  CHECK(step.start().x == Approx(9).margin(1e-9));
  CHECK(step.end().y - step.start().y == Approx(0.4).margin(1e-9));
  // Below, the circle meets the lower face where it is 8.6 mm below its centre.
  CHECK(s.pieces[0].end().x == Approx(9 - std::sqrt(81 - 8.6 * 8.6)).margin(1e-9));
}

TEST_CASE("a dovetail slot and a T slot fold back under the face", "[folded]") {
  const double lean = std::tan(14 * kPi / 180);
  Job job = board(20);
  job.bits.push_back(bit_of("dovetail", dovetail(14 * kPi / 180, 12.7, 9, 30)));
  job.operations.push_back(pass_along(0, 10, 0));
  const Section s = across_board(job);
  check_whole(s);
  REQUIRE(s.pieces.size() == 6);  // lower face, wall, floor, flank, neck, face
  CHECK(s.pieces[1].face == SectionFace::wall);
  CHECK(distance(s.pieces[1].end(), {0, -10}) < 1e-9);
  CHECK(distance(s.pieces[2].end(), {6.35, -10}) < 1e-9);
  CHECK(distance(s.pieces[3].end(), {6.35 - 9 * lean, -1}) < 1e-9);
  CHECK(distance(s.pieces[4].end(), {6.35 - 9 * lean, 0}) < 1e-9);
  CHECK(area_of(s) == Approx(60 * 20 - (9 * (6.35 - 4.5 * lean) + 6.35 - 9 * lean)).epsilon(1e-9));
  CHECK(*s.thinnest == Approx(10).margin(1e-9));

  job.bits[0] = bit_of("t_slot", t_slot(16, 4, 8, 30));
  job.operations[0].depth = job.operations[0].passes[0] = 7;
  const Section t = across_board(job);
  check_whole(t);
  REQUIRE(t.pieces.size() == 7);  // lower face, wall, floor, side, ceiling, neck, face
  CHECK(distance(t.pieces[3].end(), {8, -3}) < 1e-9);
  CHECK(distance(t.pieces[4].end(), {4, -3}) < 1e-9);
  CHECK(*t.thinnest == Approx(3).margin(1e-9));
}

TEST_CASE("a bottom round takes the lower arris, a groove leaves the wall twice", "[folded]") {
  Job job = board(18);
  job.bits.push_back(bit_of("bottom_round", bottom_round(6, 10, 0.5, 30)));
  job.operations.push_back(pass_along(0, 18.5, 5));
  const Section s = across_board(job);
  check_whole(s);
  REQUIRE(s.pieces.size() == 4);
  CHECK(s.pieces[1].kind == SectionPiece::Kind::arc);
  CHECK(distance(s.pieces[1].shape.centre, {6, -12}) < 1e-9);
  CHECK(s.pieces[2].face == SectionFace::wall);
  CHECK(area_of(s) == Approx(60 * 18 - (1 - kPi / 4) * 36).epsilon(1e-6));

  job.bits[0] = bit_of("t_slot", t_slot(30, 4, 8, 30));
  job.operations[0].depth = job.operations[0].passes[0] = 10;
  job.operations[0].offset = 9;
  const Section groove = across_board(job);
  check_whole(groove);
  REQUIRE(groove.pieces.size() == 7);
  CHECK(groove.pieces[1].face == SectionFace::wall);
  CHECK(groove.pieces[5].face == SectionFace::wall);
  CHECK(distance(groove.pieces[3].end(), {6, -6}) < 1e-9);
  CHECK(*groove.thinnest == Approx(6).margin(1e-9));
}

TEST_CASE("a sheet rounded from both faces shows both rounds and the wall between", "[folded]") {
  RoundoverReadings r;
  r.radius = 5;
  r.working_depth = 5;
  Job job = board(18);
  Bit bit = bit_of("point_roundover", point_roundover(derive_roundover(r), 30));
  job.bits.push_back(bit);
  job.operations.push_back(pass_along(0, 5, 0));
  Operation turn;
  turn.name = "turn";
  turn.kind = OperationKind::turn;
  job.operations.push_back(turn);
  job.operations.push_back(pass_along(0, 4, 0));
  job.operations.back().name = "again";
  Section s = across_board(job);
  check_whole(s);
  REQUIRE(s.pieces.size() == 5);
  CHECK(distance(s.pieces[1].shape.centre, {5, -18 + 4}) < 1e-9 + 1);  // cut 1 mm less deep
  CHECK(s.pieces[1].end().y == Approx(-14).margin(1e-9));
  CHECK(s.pieces[1].operation == 2);
  CHECK(s.pieces[2].face == SectionFace::wall);
  CHECK(s.pieces[3].operation == 0);
  CHECK(distance(s.pieces[3].shape.centre, {5, -5}) < 1e-9);

  // Laid 0.3 mm too far to the right and 0.2 too far up, turned about Y: on the sheet the cut lies 0.2 lower.
  job.operations[1].turn.error = {0.3, 0.2};
  s = across_board(job);
  CHECK(s.pieces[1].shape.centre.x == Approx(5 - 0.2).margin(1e-9));
  // Turned about X it lies 0.2 mm higher: the machine's Y runs the other way.
  job.operations[1].turn.about = Turn::About::x;
  s = across_board(job);
  CHECK(s.pieces[1].shape.centre.x == Approx(5 + 0.2).margin(1e-9));
}

TEST_CASE("above its cutting length a bit cuts nothing, but its passes from above do", "[folded]") {
  Job job = board(20);
  Bit mill = bit_of("straight", straight(10, 6));
  mill.cutting_length = 6;
  mill.shank_diameter = 6;
  job.bits = {mill, bit_of("bullnose", bullnose(9, 12, 1, 30))};
  Operation turn;
  turn.name = "turn";
  turn.kind = OperationKind::turn;
  job.operations = {pass_along(0, 10, 0), turn};
  Section s = across_board(job);
  check_whole(s);
  REQUIRE(s.pieces.size() == 7);  // lower face, wall, floor, side, ceiling, the shank's way, face
  CHECK(distance(s.pieces[3].end(), {5, -4}) < 1e-9);
  CHECK(distance(s.pieces[4].end(), {3, -4}) < 1e-9);
  job.operations[0].passes = {5, 10};
  s = across_board(job);
  REQUIRE(s.pieces.size() == 5);  // lower face, wall, floor, one side, face
  CHECK(distance(s.pieces[3].end(), {5, 0}) < 1e-9);
}

TEST_CASE("a bit's body has the chain's width, then the shank's", "[folded]") {
  Bit bit = bit_of("dovetail", dovetail(0.25, 12, 9, 3));
  bit.cutting_length = 12;
  bit.shank_diameter = 8;
  bit.neck_from = 9;
  const BitBody body(bit);
  CHECK(body.width(-1) == 0);
  CHECK(body.width(0) == 6);
  CHECK(body.width(4.5) == Approx(6 - 4.5 * std::tan(0.25)));
  CHECK(body.width(11) == Approx(6 - 9 * std::tan(0.25)));
  CHECK(body.width(50) == 4);
  CHECK(body.reach() == 6);
  CHECK(body.distance({0, 4}) == Approx(-4));
  CHECK(body.distance({-7, 0}) == Approx(1));
  CHECK(body.distance({5, 40}) == Approx(1));
  CHECK(body.distance({3, -2}) == Approx(2));
  CHECK(body.cutting_height() == 9);
  CHECK(body.cutting_part().width(8) == Approx(body.width(8)));
  CHECK(body.cutting_part().width(9.5) == 0);
  CHECK(body.idle_part().width(8) == 0);
  CHECK(body.idle_part().width(10) == Approx(body.width(10)));
  CHECK(body.idle_part().width(30) == 4);
}

TEST_CASE("folded sections agree with points classified by brute force", "[folded]") {
  std::vector<Profile> profiles{bullnose(3, 5, 0.5, 20),
                                dovetail(0.3, 9, 5, 20),
                                t_slot(9, 2, 4, 20),
                                bottom_round(3, 4, 0.4, 20),
                                finger_pull(2, 9, 3, 0.5, 20),
                                Profile({Segment::line({0, 0}, {3, 1}), Segment::line({3, 1}, {1.5, 3}),
                                         Segment::line({1.5, 3}, {4, 5}), Segment::line({4, 5}, {2, 6}),
                                         Segment::line({2, 6}, {2, 30})})};
  int looked = 0;
  for (std::uint32_t seed = 1; seed <= 60; ++seed) {
    Job job = sample_job(60, 40, profiles);
    Plan plan = random_plan(job, seed, 6);
    std::mt19937_64 random(seed);
    std::uniform_real_distribution<double> unit_of(0, 1);
    std::vector<BitBody> bodies;
    for (const Bit& bit : job.bits) bodies.emplace_back(bit);
    for (Move& m : plan.moves) {
      const double down = -1 - 7 * unit_of(random);
      m.z1 = down + (m.z1 - m.z0);
      m.z0 = down;
      if (unit_of(random) < 0.3) m.set_up = 1;
    }
    Operation op;
    op.name = "any";
    job.operations = {op};
    for (Move& m : plan.moves) m.operation = 0;
    const MoveIndex index(plan, job);
    SectionMaker maker(job, plan, index);
    const double T = job.stock.thickness();
    for (int ray = 0; ray < 4; ++ray) {
      const Vec2 origin{10 + 40 * unit_of(random), 10 + 20 * unit_of(random)};
      const Vec2 normal = unit(2 * kPi * unit_of(random));
      const double u_max = 12;
      const Section s = maker.make({origin, normal, u_max});
      if (s.pieces.empty()) continue;
      check_whole(s);
      const auto polygon = polygon_of(s.pieces);
      std::vector<std::vector<Vec2>> hollows;
      for (const auto& hollow : s.hollows) hollows.push_back(polygon_of(hollow));
      const auto in_part = [&](Vec2 q) {
        return inside(polygon, q) && std::none_of(hollows.begin(), hollows.end(),
                                                  [&](const std::vector<Vec2>& h) { return inside(h, q); });
      };
      int wrong = 0, material = 0;
      for (int k = 0; k < 250; ++k) {
        const Vec2 q{u_max * unit_of(random), -T * unit_of(random)};
        const Vec2 p = origin + q.x * normal;
        double nearest = 1;  // how clearly it is in or out, mm
        bool gone = false;
        for (const Move& m : plan.moves) {
          if (m.role == MoveRole::rapid || !m.counted) continue;
          const double z = m.set_up == 1 ? -T - q.y : q.y;
          const int stamps = m.z0 == m.z1 ? 1 : 600;
          for (int t = 0; t < stamps; ++t) {
            const double part = stamps == 1 ? 0 : static_cast<double>(t) / (stamps - 1);
            const double tip = m.z0 + (m.z1 - m.z0) * part;
            const double d = m.region >= 0 ? plan.regions[static_cast<std::size_t>(m.region)].distance(p)
                             : stamps == 1 ? m.path.distance(p)
                                           : distance(p, m.path.point(m.path.length() * part));
            const double off = bodies[m.bit].distance({d, z - tip});
            gone = gone || off < 0;
            nearest = std::min(nearest, std::abs(off));
          }
        }
        if (nearest < 2e-2) continue;
        ++looked;
        if (!gone) ++material;
        if (gone && in_part(q)) ++wrong;
      }
      INFO("seed " << seed << " ray " << ray);
      CHECK(wrong == 0);
      if (material > 0) CHECK(area_of(s) > 0);
    }
  }
  CHECK(looked > 20000);
}

TEST_CASE("the part a folded section traces is the one a flood fill finds", "[folded]") {
  const std::vector<Profile> profiles{bullnose(3, 5, 0.5, 20), dovetail(0.3, 9, 5, 20), t_slot(9, 2, 4, 20),
                                      bottom_round(3, 4, 0.4, 20), finger_pull(2, 9, 3, 0.5, 20)};
  constexpr int kColumns = 240, kRows = 120;
  constexpr double kReach = 12;
  for (std::uint32_t seed = 100; seed < 130; ++seed) {
    Job job = sample_job(60, 40, profiles);
    Plan plan = random_plan(job, seed, 5);
    std::mt19937_64 random(seed);
    std::uniform_real_distribution<double> unit_of(0, 1);
    const double T = job.stock.thickness();
    for (Move& m : plan.moves) {
      m.z0 = m.z1 = -T * unit_of(random);
      m.set_up = unit_of(random) < 0.3 ? 1 : 0;
      m.operation = 0;
    }
    Operation op;
    op.name = "any";
    job.operations = {op};
    std::vector<BitBody> bodies;
    for (const Bit& bit : job.bits) bodies.emplace_back(bit);
    const Vec2 origin{15 + 30 * unit_of(random), 12 + 16 * unit_of(random)};
    const Vec2 normal = unit(2 * kPi * unit_of(random));
    const MoveIndex index(plan, job);
    const Section s = SectionMaker(job, plan, index).make({origin, normal, kReach});

    // Every cell's middle against every move, then the largest connected part that reaches the last column.
    std::vector<int> label(kColumns * kRows, -1);  // -1 material not yet reached, -2 gone
    const auto cell = [](int c, int r) { return static_cast<std::size_t>(r * kColumns + c); };
    for (int c = 0; c < kColumns; ++c) {
      const double u = kReach * (c + 0.5) / kColumns;
      for (const Move& m : plan.moves) {
        if (m.role == MoveRole::rapid || !m.counted) continue;
        const Vec2 p = origin + u * normal;
        const double d =
            m.region >= 0 ? plan.regions[static_cast<std::size_t>(m.region)].distance(p) : m.path.distance(p);
        for (int r = 0; r < kRows; ++r) {
          const double z = -T * (r + 0.5) / kRows, up = m.set_up == 1 ? -T - z : z;
          if (bodies[m.bit].width(up - m.z0) > d && up >= m.z0) label[cell(c, r)] = -2;
        }
      }
    }
    int parts = 0;
    std::vector<int> size;
    std::vector<bool> reaches;
    for (std::size_t start = 0; start < label.size(); ++start) {
      if (label[start] != -1) continue;
      std::vector<std::size_t> open{start};
      label[start] = parts;
      size.push_back(0);
      reaches.push_back(false);
      while (!open.empty()) {
        const auto at = static_cast<int>(open.back());
        open.pop_back();
        ++size.back();
        const int c = at % kColumns, r = at / kColumns;
        if (c == kColumns - 1) reaches.back() = true;
        const int next[][2] = {{c - 1, r}, {c + 1, r}, {c, r - 1}, {c, r + 1}};
        for (const auto& n : next) {
          if (n[0] < 0 || n[1] < 0 || n[0] >= kColumns || n[1] >= kRows || label[cell(n[0], n[1])] != -1)
            continue;
          label[cell(n[0], n[1])] = parts;
          open.push_back(cell(n[0], n[1]));
        }
      }
      ++parts;
    }
    int best = 0;
    const bool any = std::find(reaches.begin(), reaches.end(), true) != reaches.end();
    for (int i = 0; i < parts; ++i)
      if (!any || reaches[static_cast<std::size_t>(i)])
        best = std::max(best, size[static_cast<std::size_t>(i)]);
    const double area = best * (kReach / kColumns) * (T / kRows);
    double traced = s.pieces.empty() ? 0 : area_of(s);
    double around = 0;
    for (const SectionPiece& p : s.pieces) around += distance(p.start(), p.end());
    for (const auto& hollow : s.hollows) {
      Section inner;
      inner.pieces = hollow;
      traced += area_of(inner);
      for (const SectionPiece& p : hollow) around += distance(p.start(), p.end());
    }
    INFO("seed " << seed);
    CHECK(traced == Approx(area).margin(0.05 * (around + 1)));  // half a cell along the outline
  }
}
