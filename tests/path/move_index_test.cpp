#include <algorithm>
#include <catch2/catch.hpp>
#include <random>

#include "sim/path/move_index.hpp"
#include "tests/support/slow_twin.hpp"

namespace ovolo {

TEST_CASE("The index finds every move whose footprint may touch a box", "[index]") {
  const Job job = test::sample_job(300, 200, test::sample_profiles());
  Plan plan = test::random_plan(job, 3, 700);
  for (std::size_t k = 0; k < plan.moves.size(); k += 9) plan.moves[k].z0 = plan.moves[k].z1 = 0.5;
  const MoveIndex index(plan, job);
  std::mt19937 random(11);
  std::vector<std::uint32_t> found, wanted;
  for (int i = 0; i < 300; ++i) {
    Box2 box;
    box.add(Vec2{static_cast<double>(random() % 300), static_cast<double>(random() % 200)});
    box.add(box.lo + Vec2{static_cast<double>(random() % 9), static_cast<double>(random() % 30)});
    index.query(box, found);
    wanted.clear();
    for (std::uint32_t k = 0; k < plan.moves.size(); ++k) {
      const Move& move = plan.moves[k];
      if (move.role == MoveRole::rapid || std::min(move.z0, move.z1) > 0) continue;
      const Box2 path =
          move.region >= 0 ? plan.regions[static_cast<std::size_t>(move.region)].box() : move.path.box();
      if (path.grown(job.bits[move.bit].profile.cutting_radius()).overlaps(box)) wanted.push_back(k);
    }
    REQUIRE(found == wanted);
  }
}

TEST_CASE("An index of no moves finds none", "[index]") {
  const Job job = test::sample_job(10, 10, test::sample_profiles());
  const MoveIndex index(Plan{}, job);
  std::vector<std::uint32_t> found{1, 2};
  index.query({{0, 0}, {10, 10}}, found);
  CHECK(found.empty());
}

TEST_CASE("The index leaves out a move that stays above the face, but not over a raised sheet", "[index]") {
  Job job = test::sample_job(100, 100, test::sample_profiles());
  Plan plan;
  Move move;
  move.path = Segment::line({10, 10}, {90, 90});
  move.z0 = 2;
  move.z1 = 0.5;
  plan.moves = {move};
  SheetShape bowed;
  bowed.bow = 1;
  plan.surfaces.push_back(Surface(bowed, 100, 100, 12, ZeroOn::face));
  std::vector<std::uint32_t> found;
  MoveIndex(plan, job).query({{0, 0}, {100, 100}}, found);
  CHECK(found.empty());
  plan.moves[0].surface = 1;
  REQUIRE(plan.surfaces[1].bounds({{0, 0}, {100, 100}}).lo < -0.5);
  MoveIndex(plan, job).query({{0, 0}, {100, 100}}, found);
  CHECK(found.size() == 1);
  plan.moves[0].surface = 0;
  plan.moves[0].z1 = 0;  // it reaches the face
  MoveIndex(plan, job).query({{0, 0}, {100, 100}}, found);
  CHECK(found.size() == 1);
}

}  // namespace ovolo
