#include "sim/measure/standing.hpp"

#include <algorithm>

#include "sim/measure/verdict.hpp"

namespace ovolo {

Standing standing(const SectionMeasures& m, const Wishes& wishes, const WantedForm& wanted,
                  const Stock& stock) {
  using What = Standing::What;
  constexpr double kShows = 1e-3;       // mm of a layer; less does not show
  constexpr double kShowsAsMuch = 0.1;  // mm of a hidden layer that weigh as much as reaching another wish
  constexpr double kNothing = 1e6;      // worse than any measure
  if (!m.cut) return {kNothing, What::not_cut};
  Standing out;
  const auto take = [&out](double ratio, What what, double value, std::size_t layer = 0) {
    if (ratio > out.ratio) out = {ratio, what, value, layer};
  };
  const auto against = [&](const std::optional<double>& value, double own, double wish, What what) {
    if (!value) return;
    const double beyond = *value - own;
    take(beyond <= 0 ? 0 : wish > 0 ? beyond / wish : kNothing / 10, what, *value);
  };
  if (!m.foot_depth) take(kNothing / 2, What::no_foot, 0);
  against(m.lip, 0, wishes.lip, What::lip);
  against(m.band, 0, wishes.band, What::band);
  against(m.face_break, own_face_break(wanted), wishes.face_break, What::face_break);
  against(m.wall_break, own_wall_break(wanted), wishes.wall_break, What::wall_break);
  if (m.other) {
    against(m.other->lip, 0, wishes.lip, What::other_lip);
    against(m.other->band, 0, wishes.band, What::other_band);
    against(m.other->face_break, 0, wishes.face_break, What::other_face_break);
  }
  if (m.overcut > kShows) take(kNothing / 4, What::overcut, m.overcut);
  for (std::size_t i = 0; i < m.exposure.size() && i < stock.layers.size(); ++i) {
    const bool hidden =
        std::find(wishes.hidden.begin(), wishes.hidden.end(), stock.layers[i].name) != wishes.hidden.end();
    if (hidden && m.exposure[i] > kShows)
      take(1 + m.exposure[i] / kShowsAsMuch, What::layer, m.exposure[i], i);
  }
  return out;
}

}  // namespace ovolo
