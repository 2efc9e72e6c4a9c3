#include "sim/advise/conflict.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <functional>
#include <numbers>
#include <optional>

#include "sim/bit/forms.hpp"
#include "sim/text.hpp"

namespace ovolo {
namespace {

// Wishes that belong together always: an edge with no foot, or none at all, is no edge.
constexpr WishSet kAlways = WishSet::only(Wish::foot).with(Wish::cut);
constexpr Wish kSpoken[] = {Wish::lip, Wish::face_break, Wish::band, Wish::wall_break, Wish::hidden};

WishSet set_of(const std::vector<Wish>& wishes) {
  WishSet set = kAlways;
  for (const Wish w : wishes) set = set.with(w);
  return set;
}

// The least (or, turned round, the greatest) x between `bad` and `good` for which the changed case can be
// met.
std::optional<double> turning_point(double bad, double good, const std::function<bool(double)>& met) {
  if (!met(good)) return std::nullopt;
  for (int i = 0; i < 40 && std::abs(good - bad) > 1e-6; ++i) {
    const double middle = (bad + good) / 2;
    (met(middle) ? good : bad) = middle;
  }
  return good;
}

// A figure rounded so that it errs on the side that meets the wish.
double rounded_up(double v, double step) { return std::ceil(v / step - 1e-6) * step; }
double rounded_down(double v, double step) { return std::floor(v / step + 1e-6) * step; }

Bit shortened_full_point(const Bit& like, double radius, double working_depth, double wall) {
  Bit bit = like;
  RoundoverReadings readings;
  readings.radius = radius;
  readings.working_depth = working_depth;
  bit.roundover = derive_roundover(readings);
  bit.profile = point_roundover(*bit.roundover, wall);
  bit.nominal_radius = radius;
  bit.working_depth = working_depth;
  bit.wanted = WantedForm::round(radius);
  return bit;
}

void add_cures(const EdgeCase& edge, Conflict& conflict) {
  const WishSet set = set_of(conflict.wishes);
  const auto among = [&](Wish w) { return set.has(w); };
  const auto met = [&](const EdgeCase& changed) { return changed.window().feasible(set); };
  const auto with = [&](auto change) {
    return [&edge, &met, change](double x) {
      EdgeCase changed = edge;
      change(changed, x);
      return met(changed);
    };
  };
  constexpr double kRight = std::numbers::pi / 2;
  if (among(Wish::lip))
    if (const auto v = turning_point(edge.wishes.lip, edge.deepest(),
                                     with([](EdgeCase& c, double x) { c.wishes.lip = x; })))
      conflict.cures.push_back("allow a lip of " + both_units(rounded_up(*v, 1e-3)));
  if (among(Wish::face_break))
    if (const auto v = turning_point(edge.wishes.face_break, kRight,
                                     with([](EdgeCase& c, double x) { c.wishes.face_break = x; })))
      conflict.cures.push_back("allow a face break of " +
                               degrees_text(rounded_up(*v, std::numbers::pi / 1800)));
  if (among(Wish::band))
    if (const auto v = turning_point(edge.wishes.band, 2 * edge.bit.profile.cutting_radius(),
                                     with([](EdgeCase& c, double x) { c.wishes.band = x; })))
      conflict.cures.push_back("allow a flat band of " + both_units(rounded_up(*v, 1e-3)));
  if (among(Wish::wall_break))
    if (const auto v = turning_point(edge.wishes.wall_break, kRight,
                                     with([](EdgeCase& c, double x) { c.wishes.wall_break = x; })))
      conflict.cures.push_back("allow a wall break of " +
                               degrees_text(rounded_up(*v, std::numbers::pi / 1800)));

  if (const double range = edge.face.up + edge.face.down; range > 1e-3)
    if (const auto part = turning_point(1, 0, with([&](EdgeCase& c, double x) {
                                          // Flatter about the middle of its range, which Z zero can follow.
                                          const double middle = (edge.face.up - edge.face.down) / 2;
                                          c.face = {middle + x * range / 2, x * range / 2 - middle};
                                        })))
      conflict.cures.push_back(
          fmt::format("hold the sheet flat to within {} along this edge (it varies by {})",
                      both_units(rounded_down(*part * range, 1e-2)), both_units(range)));

  if (edge.bit.roundover) {
    const double R = edge.bit.nominal_radius, W = edge.bit.working_depth;
    const double wall = edge.deepest();
    if (const auto v = turning_point(
            W, R, with([&](EdgeCase& c, double x) { c.bit = shortened_full_point(edge.bit, R, x, wall); })))
      if (*v > W + 1e-4)
        conflict.cures.push_back(fmt::format("take a bit of the same radius that works {} deep or more",
                                             both_units(rounded_up(*v, 1e-2))));
    const auto smaller = turning_point(R, R / 20, with([&](EdgeCase& c, double x) {
                                         c.bit = shortened_full_point(edge.bit, x, x * W / R, wall);
                                         c.wanted = c.bit.wanted;
                                       }));
    if (smaller && *smaller < R - 1e-4)
      conflict.cures.push_back(
          fmt::format("take a smaller round: radius {} or less, of a bit that works {:.0f} % of it",
                      both_units(rounded_down(*smaller, 1e-2)), 100 * W / R));
  }
  if (among(Wish::hidden)) {
    const auto hidden_from = [&](const EdgeCase& c) {
      for (std::size_t i = 0; i < c.stock.layers.size(); ++i)
        if (std::find(c.wishes.hidden.begin(), c.wishes.hidden.end(), c.stock.layers[i].name) !=
            c.wishes.hidden.end())
          return i;
      return std::size_t{0};
    };
    const std::size_t below = hidden_from(edge);
    if (below > 0) {
      double covered = 0;
      for (std::size_t i = 0; i < below; ++i) covered += edge.stock.layers[i].thickness;
      const auto v =
          turning_point(0, edge.bit.profile.form_height() + edge.wanted.depth + 1,
                        with([&](EdgeCase& c, double x) { c.stock.layers[below - 1].thickness += x; }));
      if (v)
        conflict.cures.push_back(fmt::format("take a sheet with {} or more above the layer '{}' (it has {})",
                                             both_units(rounded_up(covered + *v, 1e-2)),
                                             edge.stock.layers[below].name, both_units(covered)));
    } else {
      conflict.cures.push_back(
          fmt::format("let the layer '{}' show: it is the face, and any round cuts into it",
                      edge.stock.layers.front().name));
    }
  }
}

}  // namespace

std::vector<Conflict> find_conflicts(const EdgeCase& edge) {
  const WishWindow window = edge.window();
  std::vector<Conflict> out;
  if (window.feasible()) return out;
  std::vector<WishSet> found;
  constexpr unsigned kSubsets = 1u << std::size(kSpoken);
  std::vector<unsigned> subsets;
  for (unsigned bits = 0; bits < kSubsets; ++bits) subsets.push_back(bits);
  std::stable_sort(subsets.begin(), subsets.end(),
                   [](unsigned a, unsigned b) { return std::popcount(a) < std::popcount(b); });
  for (const unsigned bits : subsets) {
    Conflict conflict;
    for (std::size_t i = 0; i < std::size(kSpoken); ++i)
      if (bits >> i & 1u) conflict.wishes.push_back(kSpoken[i]);
    const WishSet set = set_of(conflict.wishes);
    const bool known = std::any_of(found.begin(), found.end(), [&](WishSet f) { return set.holds(f); });
    if (known || window.feasible(set)) continue;
    found.push_back(set);
    add_cures(edge, conflict);
    out.push_back(std::move(conflict));
  }
  return out;
}

}  // namespace ovolo
