// The sheet as a function of space, against stamped bits and its own promises.
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "sim/bit/forms.hpp"
#include "sim/solid/finished_sheet.hpp"
#include "tests/support/folded_jobs.hpp"

using namespace ovolo;
using namespace ovolo::test;

namespace {

Move move_of(Segment path, double z0, double z1, std::uint32_t bit) {
  Move m;
  m.path = path;
  m.z0 = z0;
  m.z1 = z1;
  m.bit = bit;
  return m;
}

struct Mixed {
  Job job = board(18);
  Plan plan;
  Mixed() {
    job.stock.width = 60;
    job.stock.height = 50;
    job.bits.push_back(bit_of("dovetail", dovetail(0.25, 12, 9, 20)));
    job.bits.push_back(
        bit_of("ball", Profile({Segment::arc({0, 4}, 4, -1.5707963267948966, 1.5707963267948966),
                                Segment::line({4, 4}, {4, 30})})));
    job.operations.push_back(pass_along(0, 6, 0));
    plan.moves = {move_of(Segment::line({-10, 20}, {70, 24}), -8, -8, 0),
                  move_of(Segment::line({10, 40}, {50, 30}), -2, -9, 1),
                  move_of(Segment::arc({30, 15}, 8, 0.3, 4.0), -12, -5, 1),
                  move_of(Segment::line({50, 10}, {50, 10}), 3, -7, 1)};
  }
};

// Is p within the bit at any of many places along the moves?
bool stamped(const Mixed& mixed, Point3 p, double by) {
  for (const Move& m : mixed.plan.moves) {
    const BitBody body(mixed.job.bits[m.bit]);
    const double run = m.path.length();
    for (int i = 0; i <= 2000; ++i) {
      const double t = i / 2000.0;
      const Vec2 at = run > 0 ? m.path.point(t * run) : m.path.a;
      if (body.distance({distance(at, {p.x, p.y}), p.z - (m.z0 + t * (m.z1 - m.z0))}) < by) return true;
    }
  }
  return false;
}

}  // namespace

TEST_CASE("higher passes along a lower one change nothing, but those of undercut bits do", "[solid]") {
  for (const std::uint32_t bit : {0u, 1u}) {
    Mixed one, many;
    const Segment path = Segment::line({-10, 20}, {70, 24});
    one.plan.moves = {move_of(path, -8, -8, bit)};
    many.plan.moves = {move_of(path, -3, -3, bit), move_of(path.part(5, 30), -2, -6, bit),
                       move_of(path, -8, -8, bit), move_of(path, -8, -8, bit)};
    const MoveIndex one_index(one.plan, one.job), many_index(many.plan, many.job);
    const FinishedSheet a(one.job, one.plan, one_index, SolidOf::sheet),
        b(many.job, many.plan, many_index, SolidOf::sheet);
    int differing = 0;
    std::mt19937 random(7);
    std::uniform_real_distribution<double> x(0, 60), y(10, 34), z(-18, 0);
    for (int i = 0; i < 3000; ++i) {
      const Point3 p{x(random), y(random), z(random)};
      differing += a.value(p) != b.value(p) ? 1 : 0;
    }
    CHECK((differing == 0) == (bit == 1));
  }
}

TEST_CASE("material is where no bit has been", "[solid]") {
  const Mixed mixed;
  const MoveIndex index(mixed.plan, mixed.job);
  const FinishedSheet sheet(mixed.job, mixed.plan, index, SolidOf::sheet);
  std::mt19937 random(7);
  std::uniform_real_distribution<double> x(0.1, 59.9), y(0.1, 49.9), z(-17.9, -0.1);
  int removed = 0;
  for (int i = 0; i < 1500; ++i) {
    const Point3 p{x(random), y(random), z(random)};
    const double v = sheet.value(p);
    INFO(p.x << " " << p.y << " " << p.z << ": " << v);
    if (std::abs(v) < 0.03) continue;  // stamps lie up to 0.03 mm apart
    CHECK((v > 0) == stamped(mixed, p, 0));
    removed += v > 0 ? 1 : 0;
  }
  CHECK(removed > 150);
}

TEST_CASE("the function never claims more than the distance", "[solid]") {
  const Mixed mixed;
  const MoveIndex index(mixed.plan, mixed.job);
  const FinishedSheet sheet(mixed.job, mixed.plan, index, SolidOf::sheet);
  std::mt19937 random(8);
  std::uniform_real_distribution<double> x(0, 60), y(0, 50), z(-18, 0), step(-0.4, 0.4);
  for (int i = 0; i < 4000; ++i) {
    const Point3 p{x(random), y(random), z(random)}, q = p + Point3{step(random), step(random), step(random)};
    CHECK(std::abs(sheet.value(p) - sheet.value(q)) <= length(q - p) + 1e-6);
    const auto near = sheet.near(p, 0.7);
    if (near.state == FinishedSheet::Near::State::mixed)
      CHECK((sheet.value(near, q) < 0) == (sheet.value(q) < 0));
    else
      CHECK((near.state == FinishedSheet::Near::State::full) == (sheet.value(q) < 0));
  }
}
