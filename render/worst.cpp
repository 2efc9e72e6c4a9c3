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

std::string standing_text(const Standing& s, const Stock& stock) {
  using What = Standing::What;
  switch (s.what) {
    case What::none:
      return "";
    case What::not_cut:
      return "not cut";
    case What::no_foot:
      return "no foot on the wall";
    case What::lip:
      return "lip " + length_text(s.value);
    case What::band:
      return "flat band " + length_text(s.value);
    case What::face_break:
      return "face break " + angle_text(s.value);
    case What::wall_break:
      return "wall break " + angle_text(s.value);
    case What::other_lip:
      return "lip below " + length_text(s.value);
    case What::other_band:
      return "flat band below " + length_text(s.value);
    case What::other_face_break:
      return "break below " + angle_text(s.value);
    case What::overcut:
      return "short of its line by " + length_text(s.value);
    case What::layer:
      return stock.layers[s.layer].name + " showing " + length_text(s.value);
  }
  return "";
}

Standing standing(const SectionMeasures& m, const Standard& standard) {
  return ovolo::standing(m, standard.wishes, standard.wanted, standard.stock);
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
