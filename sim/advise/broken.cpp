#include "sim/advise/broken.hpp"

#include <algorithm>

#include "sim/measure/verdict.hpp"

namespace ovolo {

WishSet broken_wishes(const SectionMeasures& m, const Wishes& wishes, const WantedForm& wanted,
                      const Stock& stock) {
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
    if (m.exposure[i] > kShows &&
        std::find(wishes.hidden.begin(), wishes.hidden.end(), stock.layers[i].name) != wishes.hidden.end())
      out = out.with(Wish::hidden);
  return out;
}

}  // namespace ovolo
