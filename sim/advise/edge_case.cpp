#include "sim/advise/edge_case.hpp"

#include <fmt/format.h>

#include <cmath>

#include "sim/advise/broken.hpp"
#include "sim/error.hpp"
#include "sim/measure/folded_measures.hpp"
#include "sim/measure/verdict.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo {

EdgeCase EdgeCase::of(const Job& job, std::uint32_t operation) {
  const Operation& op = job.operations.at(operation);
  EdgeCase out;
  out.bit = job.bits.at(op.bit);
  out.stock = turned_over(set_up_of(job, operation)) ? turned_stock(job.stock) : job.stock;
  out.wishes = job.wishes;
  out.wanted = wanted_form(op, out.bit);
  out.face = uneven_face(job, operation);
  if (out.bit.profile.undercut())
    throw JobError(
        fmt::format("the bit '{}' is undercut: its depth and offset follow from the form and the sheet, "
                    "and are told by `cut`; there is nothing to search",
                    out.bit.id),
        static_cast<int>(operation));
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

WishSet EdgeCase::broken(const SectionMeasures& m) const { return broken_wishes(m, wishes, wanted, stock); }

}  // namespace ovolo
