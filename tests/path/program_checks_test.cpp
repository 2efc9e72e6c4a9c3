#include "sim/path/program_checks.hpp"

#include <catch2/catch.hpp>

#include "sim/bit/forms.hpp"

using namespace ovolo;

namespace {

Stock sheet() {
  Stock stock;
  stock.width = 400;
  stock.height = 250;
  stock.layers = {{"board", 12, {}}};
  return stock;
}

std::vector<Bit> bits() {
  std::vector<Bit> out(2);
  RoundoverReadings readings;
  readings.radius = 5;
  readings.working_depth = 3.62;
  out[0].id = "round5";
  out[0].profile = point_roundover(derive_roundover(readings), 10);
  out[1].id = "mill6";
  out[1].profile = straight(6, 20);
  return out;
}

ProgramMotion line(Vec2 a, double z0, Vec2 b, double z1, int number, bool rapid = false,
                   std::uint32_t bit = 1) {
  ProgramMotion m;
  m.path = Segment::line(a, b);
  m.z0 = z0;
  m.z1 = z1;
  m.rapid = rapid;
  m.feed = rapid ? 0 : 1000;
  m.bit = bit;
  m.line = number;
  return m;
}

const Warning* find(const std::vector<Warning>& warnings, const std::string& code) {
  for (const Warning& w : warnings)
    if (w.code == code) return &w;
  return nullptr;
}

}  // namespace

TEST_CASE("program checks: a clean program has no warnings", "[program]") {
  const std::vector<ProgramMotion> program = {
      line({0, 0}, 10, {50, 50}, 10, 1, true), line({50, 50}, 10, {50, 50}, 1, 2, true),
      line({50, 50}, 1, {80, 50}, -2, 3, false, 0), line({80, 50}, -2, {200, 50}, -2, 4, false, 0),
      line({200, 50}, -2, {200, 50}, 10, 5, true, 0)};
  CHECK(check_program(program, sheet(), bits()).empty());
}

TEST_CASE("program checks: rapids through the material", "[program]") {
  ProgramContext context;
  context.file = "sign.ngc";
  context.operation = 3;
  // Through solid material, and straight into it.
  const auto through =
      check_program({line({50, 50}, 5, {50, 50}, -3, 4, true), line({50, 50}, -3, {90, 50}, -3, 5, true),
                     line({50, 80}, -1, {90, 80}, -1, 9)},
                    sheet(), bits(), context);
  REQUIRE(through.size() == 1);
  CHECK(through[0].code == "rapid-through-material");
  CHECK(through[0].source.file == "sign.ngc");
  CHECK(through[0].source.line == 4);
  CHECK(through[0].operation == 3);
  CHECK(through[0].text.find("up to 3.00 mm (0.1181 in) deep (2 lines, from 4 to 5)") != std::string::npos);

  // Back along a slot that was fed before: nothing. A bit wider than the slot, or deeper, meets its sides.
  std::vector<ProgramMotion> slot = {line({50, 50}, 1, {50, 50}, -3, 1), line({50, 50}, -3, {150, 50}, -3, 2),
                                     line({150, 50}, -3, {60, 50}, -3, 3, true),
                                     line({60, 50}, -3, {60, 50}, 5, 4, true)};
  CHECK(check_program(slot, sheet(), bits()).empty());
  slot[2].z0 = slot[2].z1 = slot[3].z0 = -3.1;
  const auto deeper = check_program(slot, sheet(), bits());
  REQUIRE(find(deeper, "rapid-through-material"));
  CHECK(find(deeper, "rapid-through-material")->source.line == 3);
  slot[2].z0 = slot[2].z1 = slot[3].z0 = -2.99;
  slot[2].path.a.y += 0.5;
  CHECK(find(check_program(slot, sheet(), bits()), "rapid-through-material"));

  // Beside the sheet there is nothing to meet, and order counts.
  CHECK_FALSE(find(check_program({line({-20, 50}, -3, {-20, 90}, -3, 1, true)}, sheet(), bits()),
                   "rapid-through-material"));
  std::vector<ProgramMotion> late = {slot[0], line({60, 50}, -1, {140, 50}, -1, 2, true), slot[1]};
  CHECK(find(check_program(late, sheet(), bits()), "rapid-through-material")->source.line == 2);

  // What an earlier operation took away is gone.
  Plan plan;
  Move earlier;
  earlier.path = Segment::line({40, 50}, {160, 50});
  earlier.z0 = earlier.z1 = -5;
  earlier.bit = 1;
  plan.moves = {earlier};
  context.operation = 1;
  context.plan = &plan;
  const std::vector<ProgramMotion> across = {line({60, 50}, -3, {140, 50}, -3, 7, true),
                                             line({60, 50}, -6, {90, 50}, -6, 8)};
  CHECK(check_program(across, sheet(), bits(), context).empty());
  context.plan = nullptr;
  CHECK(check_program(across, sheet(), bits(), context).size() == 1);
}

TEST_CASE("program checks: plunging a slender tip", "[program]") {
  // Straight down into the sheet with the roundover, but not with the mill, nor as a ramp, nor into a slot.
  const auto plunge = [](std::uint32_t bit) {
    return std::vector<ProgramMotion>{line({50, 50}, 1, {50, 50}, -3.5, 6, false, bit)};
  };
  const auto warned = check_program(plunge(0), sheet(), bits());
  REQUIRE(warned.size() == 1);
  CHECK(warned[0].code == "slender-plunge");
  CHECK(warned[0].source.line == 6);
  CHECK(warned[0].text.find("3.50 mm") != std::string::npos);
  CHECK(check_program(plunge(1), sheet(), bits()).empty());
  CHECK(find(check_program({line({50, 50}, 0, {53, 50}, -3.5, 1, false, 0)}, sheet(), bits()),
             "slender-plunge"));
  CHECK_FALSE(find(check_program({line({50, 50}, 0, {54, 50}, -3.5, 1, false, 0)}, sheet(), bits()),
                   "slender-plunge"));
  std::vector<ProgramMotion> into_slot = {line({50, 50}, -3.5, {90, 50}, -3.5, 1, false, 1)};
  // Into the slot of the 6 mm mill: the tip meets nothing.
  into_slot.push_back(line({70, 50}, 5, {70, 50}, -3.5, 2, false, 0));
  CHECK(check_program(into_slot, sheet(), bits()).empty());
  into_slot[0] = line({50, 50}, -3.5, {90, 50}, -3.5, 1, false, 0);
  CHECK(check_program(into_slot, sheet(), bits()).empty());
}

TEST_CASE("program checks: beyond the sheet and below the spoilboard", "[program]") {
  const auto warnings =
      check_program({line({390, 100}, -1, {406, 100}, -1, 3), line({390, 100}, 5, {450, 100}, 5, 4, true),
                     line({100, 100}, -1, {100, 100}, -13.5, 8), line({100, 100}, -13, {200, 100}, -13, 9)},
                    sheet(), bits());
  REQUIRE(warnings.size() == 2);
  const Warning* beyond = find(warnings, "beyond-sheet");
  REQUIRE(beyond);
  CHECK(beyond->source.line == 3);
  CHECK(beyond->text.find("6.00 mm") != std::string::npos);
  const Warning* below = find(warnings, "below-spoilboard");
  REQUIRE(below);
  CHECK(below->source.line == 8);
  CHECK(below->text.find("0.50 mm (0.0197 in) below") != std::string::npos);
  // Only the part of a ramp that is below the face counts.
  CHECK_FALSE(
      find(check_program({line({410, 100}, 10, {390, 100}, -1, 1)}, sheet(), bits()), "beyond-sheet"));
  CHECK(find(check_program({line({410, 100}, 1, {390, 100}, -10, 1)}, sheet(), bits()), "beyond-sheet"));
  CHECK(find(check_program({line({10, 10}, 1, {90, 100}, 0, 1)}, sheet(), bits()), "misses-sheet"));
  CHECK(find(check_program({line({510, 10}, -1, {590, 100}, -1, 1)}, sheet(), bits()), "misses-sheet"));
  CHECK(find(check_program({}, sheet(), bits()), "misses-sheet"));  // no motion at all
}

TEST_CASE("program checks: very long programs end in time", "[program]") {
  std::vector<ProgramMotion> program;
  for (int i = 0; i < 60'000; ++i)
    program.push_back(line({50 + 0.001 * i, 50}, -1, {50 + 0.001 * (i + 1), 60}, -1, i + 1, i % 2 == 0));
  const auto warnings = check_program(program, sheet(), bits());
  CHECK(find(warnings, "not-fully-examined"));
}
