#include "tests/support/roundover_bit.hpp"

#include "sim/bit/forms.hpp"

namespace ovolo::tests {

Bit roundover_bit(const std::string& id, double radius, double working_depth, double wall) {
  RoundoverReadings readings;
  readings.radius = radius;
  readings.working_depth = working_depth;
  Bit bit;
  bit.id = id;
  bit.form = "point_roundover";
  bit.roundover = derive_roundover(readings);
  bit.profile = point_roundover(*bit.roundover, wall);
  bit.nominal_radius = radius;
  bit.working_depth = working_depth;
  bit.wanted = WantedForm::round(radius);
  return bit;
}

}  // namespace ovolo::tests
