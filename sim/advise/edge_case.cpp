#include "sim/advise/edge_case.hpp"

#include <fmt/format.h>

#include <cmath>

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

WishSet EdgeCase::broken(const SectionMeasures& m) const {
  constexpr double kShows = 1e-3;  // mm: less of a layer than this does not show
  constexpr double kNoise = 1e-6;  // mm and radians
  WishSet out;
  if (!m.cut) return out.with(Wish::cut);
  const auto above = [](const std::optional<double>& v, double limit) {
    return v.value_or(0) > limit + kNoise;
  };
  if (!m.foot_depth) out = out.with(Wish::foot);
  if (above(m.lip, wishes.lip)) out = out.with(Wish::lip);
  if (above(m.band, wishes.band)) out = out.with(Wish::band);
  if (above(m.face_break, wishes.face_break + own_face_break(wanted))) out = out.with(Wish::face_break);
  if (above(m.wall_break, wishes.wall_break + own_wall_break(wanted))) out = out.with(Wish::wall_break);
  for (std::size_t i = 0; i < stock.layers.size() && i < m.exposure.size(); ++i)
    for (const std::string& name : wishes.hidden)
      if (stock.layers[i].name == name && m.exposure[i] > kShows) out = out.with(Wish::hidden);
  return out;
}

}  // namespace ovolo
