#include "sim/advise/edge_case.hpp"

#include <fmt/format.h>

#include <cmath>

#include "sim/error.hpp"

namespace ovolo {

EdgeCase EdgeCase::of(const Job& job, std::uint32_t operation) {
  const Operation& op = job.operations.at(operation);
  EdgeCase out;
  out.bit = job.bits.at(op.bit);
  out.stock = job.stock;
  out.wishes = job.wishes;
  out.wanted = wanted_form(op, out.bit);
  if (out.bit.profile.form_height() <= 0 || out.wanted.curve.empty())
    throw JobError(fmt::format("the bit '{}' has no form of its own, so there is no depth or offset to find; "
                               "take a moulding bit",
                               out.bit.id),
                   static_cast<int>(operation));
  return out;
}

SectionMeasures EdgeCase::measure(double depth, double offset) const {
  SectionContext context;
  context.stock = &stock;
  context.wanted = &wanted;
  context.wishes = &wishes;
  const double far = bit.profile.cutting_radius() + std::abs(offset) + wanted.width + 1;
  return measure_section(SectionMaker::straight(bit.profile, depth, offset, far), context);
}

}  // namespace ovolo
