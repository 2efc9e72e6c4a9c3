#include "sim/advise/dial_map.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "sim/measure/verdict.hpp"
#include "sim/parallel.hpp"

namespace ovolo {
namespace {

constexpr double kChances[] = {0.1, 0.5, 0.9, 0.99};
constexpr double kFarthest = 12;  // standard deviations about the chosen setting that are worth showing

// Lines where a field on a grid equals `level`: marching squares, joined end to end. at(i, k): grid to plane.
class Contours {
 public:
  Contours(const std::vector<double>& field, int n) : field_(field), n_(n) {}

  template <class At>
  std::vector<std::vector<Vec2>> at_level(double level, const At& at) {
    ends_.clear();
    for (int k = 0; k < n_; ++k)
      for (int i = 0; i < n_; ++i) cell(i, k, level);
    std::vector<std::vector<Vec2>> lines;
    while (!ends_.empty()) {
      std::vector<Edge> chain = {ends_.begin()->first};
      follow(chain);
      std::reverse(chain.begin(), chain.end());
      follow(chain);
      std::vector<Vec2> line;
      for (const Edge& e : chain) line.push_back(point(e, level, at));
      if (line.size() > 1) lines.push_back(std::move(line));
    }
    return lines;
  }

 private:
  // A grid line between two neighbouring nodes: from (i, k) to the right (0) or up (1).
  struct Edge {
    int i, k, way;
    auto operator<=>(const Edge&) const = default;
  };
  double value(int i, int k) const {
    return field_[static_cast<std::size_t>(k) * static_cast<std::size_t>(n_ + 1) +
                  static_cast<std::size_t>(i)];
  }
  void join(Edge a, Edge b) {
    ends_[a].push_back(b);
    ends_[b].push_back(a);
  }
  void cell(int i, int k, double level) {
    const Edge low{i, k, 0}, high{i, k + 1, 0}, left{i, k, 1}, right{i + 1, k, 1};
    const bool a = value(i, k) >= level, b = value(i + 1, k) >= level, c = value(i + 1, k + 1) >= level,
               d = value(i, k + 1) >= level;
    std::vector<Edge> crossed;
    if (a != b) crossed.push_back(low);
    if (b != c) crossed.push_back(right);
    if (c != d) crossed.push_back(high);
    if (d != a) crossed.push_back(left);
    if (crossed.size() == 2) join(crossed[0], crossed[1]);
    if (crossed.size() == 4) {
      const bool middle =
          (value(i, k) + value(i + 1, k) + value(i, k + 1) + value(i + 1, k + 1)) / 4 >= level;
      if (middle == a) {
        join(low, right);
        join(high, left);
      } else {
        join(low, left);
        join(high, right);
      }
    }
  }
  void follow(std::vector<Edge>& chain) {
    while (true) {
      const auto it = ends_.find(chain.back());
      if (it == ends_.end() || it->second.empty()) {
        if (it != ends_.end()) ends_.erase(it);
        return;
      }
      const Edge next = it->second.back();
      it->second.pop_back();
      if (it->second.empty()) ends_.erase(it);
      auto& back = ends_[next];
      back.erase(std::find(back.begin(), back.end(), chain.back()));
      chain.push_back(next);
      if (next == chain.front()) return;
    }
  }
  template <class At>
  Vec2 point(const Edge& e, double level, const At& at) const {
    const int i1 = e.i + (e.way == 0 ? 1 : 0), k1 = e.k + (e.way == 1 ? 1 : 0);
    const double v0 = value(e.i, e.k), v1 = value(i1, k1);
    const double t = v1 == v0 ? 0.5 : (level - v0) / (v1 - v0);
    const Vec2 a = at(e.i, e.k), b = at(i1, k1);
    return a + t * (b - a);
  }

  const std::vector<double>& field_;
  int n_;
  std::map<Edge, std::vector<Edge>> ends_;
};

// A range about the window that shows what lies beyond it on every side.
void show_range(const std::vector<Span>& spans, double chosen, double now, double sigma, double least,
                double& lo, double& hi) {
  lo = hi = chosen;
  for (const Span& s : spans) {
    if (s.below != Wish::limit) lo = std::min(lo, std::max(s.lo, chosen - kFarthest * sigma));
    if (s.above != Wish::limit) hi = std::max(hi, std::min(s.hi, chosen + kFarthest * sigma));
  }
  const double room = std::max({0.5 * (hi - lo), 4 * sigma, 0.05});
  const double nearest = lo - 2.5 * room, farthest = hi + 2.5 * room;
  lo -= room;
  hi += room;
  if (now > nearest && now < farthest) {  // the scene's own setting, where it is not too far off
    lo = std::min(lo, now - 0.25 * room);
    hi = std::max(hi, now + 0.25 * room);
  }
  lo = std::max(lo, least);
}

}  // namespace

DialMap make_dial_map(const Job& job, const DialedEdge& dialed, const SettingErrors& errors, int grid) {
  const Operation& op = job.operations.at(dialed.operation);
  const EdgeCase edge = EdgeCase::of(job, dialed.operation);
  const WishWindow window = edge.window();
  const EdgeOdds odds(edge.bit, edge.wanted, edge.stock, edge.wishes, errors, edge.face);
  DialMap map;
  map.wishes = edge.wishes;
  map.own_face_break = own_face_break(edge.wanted);
  map.own_wall_break = own_wall_break(edge.wanted);
  map.depth_now = op.depth;
  map.offset_now = op.offset;
  map.lip = window.depths(WishSet::only(Wish::lip));
  map.face_break = window.depths(WishSet::only(Wish::face_break));
  map.band = window.offsets(WishSet::only(Wish::band));
  map.wall_break = window.offsets(WishSet::only(Wish::wall_break));
  const auto feet = window.offsets(WishSet::only(Wish::foot));
  map.no_foot = feet.empty() ? 0 : feet.front().lo;
  const WishSet along = WishSet::only(Wish::lip).with(Wish::face_break);
  show_range(window.depths(along), dialed.depth, op.depth, dialed.depth_sigma, 0, map.depth_lo, map.depth_hi);
  const WishSet across = WishSet::only(Wish::band).with(Wish::wall_break).with(Wish::foot);
  show_range(window.offsets(across), dialed.offset, op.offset, dialed.offset_sigma,
             -edge.bit.profile.cutting_radius(), map.offset_lo, map.offset_hi);

  constexpr int kPoints = 200;
  const bool hides = std::isfinite(window.hidden_top());
  for (int i = 0; i <= kPoints; ++i) {
    const double o = map.offset_lo + (map.offset_hi - map.offset_lo) * i / kPoints;
    if (o >= edge.bit.profile.cutting_radius()) break;
    if (hides) map.hidden.push_back({o, window.hidden_depth(o)});
    map.cut.push_back({o, window.cut_depth(o)});
  }
  if (hides)
    for (const Layer& layer : edge.stock.layers)
      if (map.hidden_layer.empty() && std::find(edge.wishes.hidden.begin(), edge.wishes.hidden.end(),
                                                layer.name) != edge.wishes.hidden.end())
        map.hidden_layer = layer.name;

  // Chances change within a few deviations of the window's edges: only there is the grid laid.
  const auto near = [](const std::vector<Span>& spans, double chosen, double sigma, double lo, double hi) {
    std::pair<double, double> range{chosen, chosen};
    for (const Span& s : spans) range = {std::min(range.first, s.lo), std::max(range.second, s.hi)};
    return std::pair{std::max(lo, range.first - 1.5 * sigma), std::min(hi, range.second + 1.5 * sigma)};
  };
  const auto [o0, o1] =
      near(window.offsets(across), dialed.offset, dialed.offset_sigma, map.offset_lo, map.offset_hi);
  const auto [d0, d1] =
      near(window.depths(along), dialed.depth, dialed.depth_sigma, map.depth_lo, map.depth_hi);
  const auto at = [&, left = o0, right = o1, top = d0, low = d1](int i, int k) {
    return Vec2{left + (right - left) * i / grid, top + (low - top) * k / grid};
  };
  const auto n = static_cast<std::size_t>(grid + 1);
  std::vector<double> chance(n * n);
  parallel_for(n * n, [&](std::size_t j) {
    const Vec2 p = at(static_cast<int>(j % n), static_cast<int>(j / n));
    chance[j] = 1 - odds.failure(p.y, p.x);
  });
  Contours contours(chance, grid);
  for (const double c : kChances) map.contours.push_back({c, contours.at_level(c, at)});
  return map;
}

}  // namespace ovolo
