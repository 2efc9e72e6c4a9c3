#include "render/worst.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "render/labels.hpp"

namespace ovolo::render {

Standing standing(const SectionMeasures& m, const Wishes& wishes) {
  Standing out;
  out.ratio = -1;
  const auto take = [&out](double value, double wish, const std::string& text) {
    const double ratio = value <= 0 ? 0 : wish > 0 ? value / wish : 1e9;
    if (ratio > out.ratio) out = {ratio, text};
  };
  take(m.lip, wishes.lip, "lip " + mm_text(m.lip));
  take(m.band, wishes.band, "flat band " + mm_text(m.band));
  if (m.face_break) take(*m.face_break, wishes.face_break, "face break " + angle_text(*m.face_break));
  if (m.wall_break) take(*m.wall_break, wishes.wall_break, "wall break " + angle_text(*m.wall_break));
  return out;
}

namespace {

std::vector<std::pair<double, std::size_t>> ranked(const EdgeMeasures& edge, const Wishes& wishes) {
  std::vector<std::pair<double, std::size_t>> out;
  for (std::size_t i = 0; i < edge.stations.size(); ++i) {
    if (edge.stations[i].kind != StationKind::edge) continue;
    // Rounded, so that equals stay equal and the first of them is taken.
    out.emplace_back(std::round(standing(edge.stations[i].measures, wishes).ratio * 1000), i);
  }
  std::stable_sort(out.begin(), out.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
  return out;
}

}  // namespace

std::optional<std::size_t> worst_station(const EdgeMeasures& edge, const Wishes& wishes) {
  const auto list = ranked(edge, wishes);
  if (list.empty()) return std::nullopt;
  return list.front().second;
}

std::optional<std::size_t> typical_station(const EdgeMeasures& edge, const Wishes& wishes) {
  const auto list = ranked(edge, wishes);
  if (list.empty()) return std::nullopt;
  return list[list.size() / 2].second;
}

}  // namespace ovolo::render
