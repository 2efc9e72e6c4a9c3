#include "render/worst.hpp"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "render/labels.hpp"
#include "sim/measure/verdict.hpp"

namespace ovolo::render {

double Standard::face_break() const { return wishes.face_break + own_face_break(wanted); }
double Standard::wall_break() const { return wishes.wall_break + own_wall_break(wanted); }

Standing standing(const SectionMeasures& m, const Standard& standard) {
  constexpr double kShows = 1e-3;       // mm of a layer; less does not show
  constexpr double kShowsAsMuch = 0.1;  // mm of a hidden layer that weigh as much as reaching another wish
  constexpr double kNothing = 1e6;      // worse than any measure
  if (!m.cut) return {kNothing, "not cut"};
  Standing out{-1, ""};
  const auto take = [&out](double ratio, const std::string& text) {
    if (ratio > out.ratio) out = {ratio, text};
  };
  const auto against = [](double value, double wish) {
    return value <= 0 ? 0 : wish > 0 ? value / wish : kNothing / 10;
  };
  const Wishes& wishes = standard.wishes;
  if (!m.foot_depth) take(kNothing / 2, "no foot on the wall");
  if (m.lip) take(against(*m.lip, wishes.lip), "lip " + length_text(*m.lip));
  if (m.band) take(against(*m.band, wishes.band), "flat band " + length_text(*m.band));
  if (m.face_break) {
    take(against(*m.face_break - own_face_break(standard.wanted), wishes.face_break),
         "face break " + angle_text(*m.face_break));
  }
  if (m.wall_break) {
    take(against(*m.wall_break - own_wall_break(standard.wanted), wishes.wall_break),
         "wall break " + angle_text(*m.wall_break));
  }
  if (m.other) {
    if (m.other->lip) take(against(*m.other->lip, wishes.lip), "lip below " + length_text(*m.other->lip));
    if (m.other->band)
      take(against(*m.other->band, wishes.band), "flat band below " + length_text(*m.other->band));
    if (m.other->face_break)
      take(against(*m.other->face_break, wishes.face_break),
           "break below " + angle_text(*m.other->face_break));
  }
  if (m.overcut > kShows) take(kNothing / 4, "short of its line by " + length_text(m.overcut));
  const std::vector<Layer>& layers = standard.stock.layers;
  for (std::size_t i = 0; i < m.exposure.size() && i < layers.size(); ++i) {
    const bool hidden =
        std::find(wishes.hidden.begin(), wishes.hidden.end(), layers[i].name) != wishes.hidden.end();
    if (hidden && m.exposure[i] > kShows)
      take(1 + m.exposure[i] / kShowsAsMuch, layers[i].name + " showing " + length_text(m.exposure[i]));
  }
  return out;
}

namespace {

/// Stations that count, the worst first, equals in their order along the contour.
std::vector<std::pair<double, std::size_t>> ranked(const EdgeMeasures& edge, const Standard& standard) {
  std::vector<std::pair<double, std::size_t>> out;
  for (std::size_t i = 0; i < edge.stations.size(); ++i) {
    if (edge.stations[i].kind != StationKind::edge) continue;
    out.emplace_back(std::round(standing(edge.stations[i].measures, standard).ratio * 1000), i);
  }
  std::stable_sort(out.begin(), out.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
  return out;
}

/// A section that stops short of the face or hardly reaches it, as beside a sharp corner, makes a poor
/// picture.
bool whole(const Station& station) {
  const SectionMeasures& m = station.measures;
  return m.meets_face && !m.near_corner && station.reach >= 1.3 * m.round_width;
}

/// The one of the list's place `rank`, or another that stands all but equally and shows a whole section: in
/// the middle of the longest stretch of its like, clear of its ends.
std::optional<std::size_t> in_the_middle(const EdgeMeasures& edge,
                                         const std::vector<std::pair<double, std::size_t>>& list,
                                         std::size_t rank) {
  constexpr double kAlike = 0.02;
  if (list.empty()) return std::nullopt;
  double wanted = list[rank].first;
  bool only_whole = false;
  double nearest = kAlike * std::abs(wanted) + 1e-9;
  for (const auto& [ratio, i] : list) {
    const double off = std::abs(ratio - list[rank].first);
    if (!whole(edge.stations[i]) || off > nearest || (only_whole && off == nearest)) continue;
    nearest = off;
    wanted = ratio;
    only_whole = true;
  }
  std::vector<bool> equal(edge.stations.size(), false);
  for (const auto& [ratio, i] : list) equal[i] = ratio == wanted && (!only_whole || whole(edge.stations[i]));
  std::size_t best = list[rank].second;
  double longest = -1;
  for (std::size_t i = 0; i < equal.size();) {
    std::size_t end = i;
    double run = 0;
    while (end < equal.size() && equal[end] && edge.stations[end].curvature == edge.stations[i].curvature) {
      run += edge.stations[end++].weight;
    }
    if (end > i && run > longest) {
      longest = run;
      best = (i + end) / 2;
    }
    i = std::max(end, i + 1);
  }
  return best;
}

}  // namespace

std::optional<std::size_t> worst_station(const EdgeMeasures& edge, const Standard& standard) {
  return in_the_middle(edge, ranked(edge, standard), 0);
}

std::optional<std::size_t> typical_station(const EdgeMeasures& edge, const Standard& standard) {
  const auto list = ranked(edge, standard);
  return in_the_middle(edge, list, list.size() / 2);
}

}  // namespace ovolo::render
