// The window and the usual settings of a quarter-inch point-cutting roundover.
#include <catch2/catch.hpp>

#include "sim/advise/dial.hpp"
#include "sim/bit/forms.hpp"

using namespace ovolo;

TEST_CASE("common practice: the usual setting of a quarter-inch roundover lies in the window", "[outside]") {
  // Common practice, no published source: a 0.25 in bit that works 0.177 in deep cuts well near 0.175 in with
  // the axis about 0.02 in out. Z repeats within 0.01-0.03 mm on production machines (from memory).
  constexpr double inch = 25.4;
  Job job;
  job.stock.layers = {{"all", 19, {}}};
  RoundoverReadings readings;
  readings.radius = 0.25 * inch;
  readings.working_depth = 0.177 * inch;
  Bit bit;
  bit.roundover = derive_roundover(readings);
  bit.profile = point_roundover(*bit.roundover, 25);
  bit.nominal_radius = readings.radius;
  bit.working_depth = *readings.working_depth;
  bit.wanted = WantedForm::round(readings.radius);
  job.bits.push_back(bit);
  Operation op;
  op.depth = 0.175 * inch;
  op.offset = 0.02 * inch;
  job.operations.push_back(op);

  const DialedEdge best = dial_edge(job, 0, SettingErrors{});
  const EdgeCase edge = EdgeCase::of(job, 0);
  const WishWindow window = edge.window();
  CHECK(window.holds(op.depth, op.offset));
  CHECK(1 - best.failure_now > 0.9);  // with the usual Z error of 0.03 mm
  CHECK(1 - best.failure > 0.95);
  // "Near" 0.175 in and "about" 0.02 in: two thou either way.
  for (const double d : {0.173, 0.175, 0.177})
    for (const double o : {0.018, 0.020, 0.022}) CHECK(window.holds(d * inch, o * inch));
}
