#include "io/drawing/join.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <numbers>
#include <tuple>
#include <unordered_map>
#include <utility>

#include "sim/geometry/fit_arcs.hpp"

namespace ovolo::io {
namespace {

constexpr double kSame = 1e-6;  // mm

double run_length(const std::vector<Segment>& pieces) {
  double sum = 0;
  for (const Segment& s : pieces) sum += s.length();
  return sum;
}

std::vector<Segment> turned_round(const std::vector<Segment>& pieces) {
  std::vector<Segment> out;
  for (auto it = pieces.rbegin(); it != pieces.rend(); ++it) out.push_back(it->reversed());
  return out;
}

/// The piece with its ends moved to a and b by little: an arc keeps its sense and goes through both ends
/// exactly, its centre the nearest possible to the old one. False when it would have to leave its place by
/// more than `most`.
bool moved(const Segment& s, Vec2 a, Vec2 b, double most, Segment& out) {
  if (!s.is_arc()) {
    out = Segment::line(a, b);
    return distance(a, b) > 0;
  }
  if (a == s.a && b == s.b) {
    out = s;
    return true;
  }
  Vec2 centre = s.centre;
  if (!(a == b)) {
    const Vec2 middle = 0.5 * (a + b), along = normalized(b - a);
    centre = centre - dot(centre - middle, along) * along;
  }
  out = Segment::arc_between(a, b, centre, s.sweep > 0);
  const double l = s.length(), m = out.length();
  for (int i = 1; i < 4; ++i)
    if (distance(s.point(l * i / 4), out.point(m * i / 4)) > most) return false;
  return true;
}

/// Brings the end of `first` and the start of `second` to one point.
void weld(std::vector<Segment>& first, std::vector<Segment>& second, double tolerance) {
  Segment& a = first.back();
  Segment& b = second.front();
  if (a.b == b.a) return;
  const Vec2 middle = 0.5 * (a.b + b.a);
  // A line takes up the whole gap where it meets an arc, so that the arc stays as it was drawn.
  const Vec2 meet = a.is_arc() && !b.is_arc() ? a.b : !a.is_arc() && b.is_arc() ? b.a : middle;
  Segment na, nb;
  if (&a == &b) {  // one piece that ends at its own start
    if (a.is_arc() && std::abs(a.sweep) > std::numbers::pi)
      a = Segment::arc_between(a.a, a.a, a.centre, a.sweep > 0);
    else
      first.push_back(Segment::line(a.b, a.a));
    return;
  }
  if (moved(a, a.a, meet, 2 * tolerance, na) && moved(b, meet, b.b, 2 * tolerance, nb)) {
    a = na;
    b = nb;
  } else {
    first.push_back(Segment::line(a.b, b.a));
  }
}

/// Ends of open chains: 2 i is the start of chain i, 2 i + 1 its end.
class Ends {
 public:
  Ends(const std::vector<DrawnChain>& chains, double tolerance)
      : chains_(chains), cell_(std::max(tolerance, kSame)) {
    for (std::size_t i = 0; i < chains.size(); ++i) {
      if (chains[i].closed) continue;
      for (std::size_t e = 2 * i; e < 2 * i + 2; ++e) grid_[key(cell_of(point(e)))].push_back(e);
    }
  }

  Vec2 point(std::size_t e) const {
    const std::vector<Segment>& pieces = chains_[e / 2].pieces;
    return e % 2 == 0 ? pieces.front().a : pieces.back().b;
  }

  /// Visits the other ends within reach (at most the tolerance); in a heap of hundreds only some of them.
  template <class Visit>
  void near(std::size_t e, double reach, const Visit& visit) const {
    const auto [cx, cy] = cell_of(point(e));
    int looked = 0;
    for (std::int64_t x = cx - 1; x <= cx + 1; ++x)
      for (std::int64_t y = cy - 1; y <= cy + 1; ++y) {
        const auto it = grid_.find(key({x, y}));
        if (it == grid_.end()) continue;
        for (const std::size_t other : it->second) {
          if (++looked > 300) return;
          if (other != e && distance(point(e), point(other)) <= reach) visit(other);
        }
      }
  }

 private:
  using Cell = std::pair<std::int64_t, std::int64_t>;
  Cell cell_of(Vec2 p) const {
    return {static_cast<std::int64_t>(std::floor(p.x / cell_)),
            static_cast<std::int64_t>(std::floor(p.y / cell_))};
  }
  static std::uint64_t key(Cell c) {
    return static_cast<std::uint64_t>(c.first) * 0x9E3779B97F4A7C15ull + static_cast<std::uint64_t>(c.second);
  }

  const std::vector<DrawnChain>& chains_;
  double cell_;
  std::unordered_map<std::uint64_t, std::vector<std::size_t>> grid_;
};

/// Drops chains of one piece that lie on an earlier one with the same ends.
int drop_doubles(std::vector<DrawnChain>& chains) {
  std::vector<std::pair<std::array<std::int64_t, 6>, std::size_t>> keys;
  const auto rounded = [](double v) { return static_cast<std::int64_t>(std::llround(v / (10 * kSame))); };
  for (std::size_t i = 0; i < chains.size(); ++i) {
    const DrawnChain& chain = chains[i];
    const Segment& s = chain.pieces.front();
    Vec2 a = s.a, b = chain.pieces.back().b;
    if (std::tie(b.x, b.y) < std::tie(a.x, a.y)) std::swap(a, b);
    const double l = run_length(chain.pieces);
    const Vec2 m = s.is_arc() && chain.pieces.size() == 1 && chain.closed ? s.centre
                   : chain.pieces.size() == 1                             ? s.point(l / 2)
                                                                          : Vec2{l, chain.closed ? 1.0 : 0.0};
    if (chain.pieces.size() == 1 && chain.closed) a = b = {s.radius, 0};
    keys.push_back({{rounded(a.x), rounded(a.y), rounded(b.x), rounded(b.y), rounded(m.x), rounded(m.y)}, i});
  }
  std::sort(keys.begin(), keys.end());
  std::vector<bool> drop(chains.size(), false);
  const auto same = [&](const DrawnChain& a, const DrawnChain& b) {
    if (a.pieces.size() != b.pieces.size() || a.closed != b.closed) return false;
    for (const Segment& s : a.pieces) {
      const Vec2 m = s.point(s.length() / 2);
      const bool found = std::any_of(b.pieces.begin(), b.pieces.end(),
                                     [&](const Segment& t) { return t.distance(m) < 100 * kSame; });
      if (!found) return false;
    }
    return true;
  };
  int count = 0;
  for (std::size_t i = 1; i < keys.size(); ++i) {
    if (keys[i].first != keys[i - 1].first) continue;
    const DrawnChain& earlier = chains[keys[i - 1].second];
    const DrawnChain& later = chains[keys[i].second];
    // Long chains are compared only up to a size that keeps this cheap.
    if (earlier.pieces.size() > 200 || !same(earlier, later)) continue;
    drop[keys[i].second] = true;
    ++count;
  }
  std::size_t kept = 0;
  for (std::size_t i = 0; i < chains.size(); ++i)
    if (!drop[i]) {
      if (kept != i) chains[kept] = std::move(chains[i]);
      ++kept;
    }
  chains.resize(kept);
  return count;
}

}  // namespace

Joined join_chains(std::vector<DrawnChain> chains, double tolerance) {
  Joined out;
  std::erase_if(chains, [](const DrawnChain& c) { return c.pieces.empty(); });
  out.doubles = drop_doubles(chains);

  constexpr std::size_t kNone = static_cast<std::size_t>(-1);
  const Ends ends(chains, tolerance);
  std::vector<std::size_t> partner(2 * chains.size(), kNone);
  std::vector<bool> speck(chains.size());  // shorter than the tolerance can tell apart
  for (std::size_t i = 0; i < chains.size(); ++i) speck[i] = run_length(chains[i].pieces) <= 3 * tolerance;

  struct Pair {
    double gap;
    std::size_t a, b;
  };
  std::vector<Pair> pairs;
  for (std::size_t e = 0; e < partner.size(); ++e) {
    if (chains[e / 2].closed) continue;
    std::vector<Pair> found;
    ends.near(e, tolerance, [&](std::size_t other) {
      if (other > e && !(other / 2 == e / 2 && speck[e / 2]))
        found.push_back({distance(ends.point(e), ends.point(other)), e, other});
    });
    // A heap of ends in one place is a flaw whichever are joined: a few of them are enough to say so.
    std::sort(found.begin(), found.end(),
              [](const Pair& p, const Pair& q) { return std::tie(p.gap, p.b) < std::tie(q.gap, q.b); });
    if (found.size() > 8) found.resize(8);
    pairs.insert(pairs.end(), found.begin(), found.end());
  }
  std::sort(pairs.begin(), pairs.end(), [](const Pair& p, const Pair& q) {
    return std::tie(p.gap, p.a, p.b) < std::tie(q.gap, q.a, q.b);
  });
  for (const Pair& p : pairs) {
    if (partner[p.a] != kNone || partner[p.b] != kNone) continue;
    partner[p.a] = p.b;
    partner[p.b] = p.a;
  }

  // More than two ends in one place: which of them go together is for the drawing to say.
  const auto crowded = [&](std::size_t e) {
    if (speck[e / 2]) return false;
    bool found = false;
    ends.near(e, tolerance, [&](std::size_t other) {
      if (other != partner[e] && !speck[other / 2]) found = true;
    });
    return found;
  };

  std::vector<bool> used(chains.size(), false);
  const auto walk = [&](std::size_t first) {  // `first`: the end to enter by
    JoinedChain run;
    run.at = chains[first / 2].at;
    run.name = chains[first / 2].name;
    std::size_t e = first;
    while (true) {
      DrawnChain& chain = chains[e / 2];
      used[e / 2] = true;
      std::vector<Segment> pieces = e % 2 == 0 ? std::move(chain.pieces) : turned_round(chain.pieces);
      if (!run.pieces.empty()) {
        run.widest_gap = std::max(run.widest_gap, distance(run.pieces.back().b, pieces.front().a));
        weld(run.pieces, pieces, tolerance);
      }
      run.pieces.insert(run.pieces.end(), pieces.begin(), pieces.end());
      e = partner[e ^ 1u];
      if (e == kNone) break;
      if (used[e / 2]) {
        run.closed = true;
        run.widest_gap = std::max(run.widest_gap, distance(run.pieces.back().b, run.pieces.front().a));
        if (run.pieces.size() == 1) {
          weld(run.pieces, run.pieces, tolerance);
        } else {
          std::vector<Segment> head{run.pieces.front()};
          weld(run.pieces, head, tolerance);
          run.pieces.front() = head.front();
        }
        break;
      }
    }
    return run;
  };

  std::vector<std::string> flaws(chains.size());
  for (std::size_t e = 0; e < partner.size(); ++e)
    if (!chains[e / 2].closed && flaws[e / 2].empty() && crowded(e))
      flaws[e / 2] = fmt::format("more than two pieces meet at ({})", place(ends.point(e)));

  for (std::size_t i = 0; i < chains.size(); ++i) {
    if (used[i]) continue;
    if (chains[i].closed) {
      used[i] = true;
      out.chains.push_back({std::move(chains[i].pieces), true, chains[i].at, chains[i].name, 0, ""});
      continue;
    }
    // An open run is walked from one of its ends; a closed one from its first piece.
    std::size_t e = 2 * i;
    std::size_t steps = 0;
    while (partner[e] != kNone && partner[e] != (2 * i + 1) && steps++ < chains.size()) {
      const std::size_t next = partner[e] ^ 1u;
      if (next / 2 == i) break;
      e = next;
    }
    if (partner[e] != kNone) e = 2 * i;
    std::vector<std::size_t> members;
    for (std::size_t k = e;;) {
      members.push_back(k / 2);
      k = partner[k ^ 1u];
      if (k == kNone || k / 2 == e / 2) break;
    }
    JoinedChain run = walk(e);
    for (const std::size_t m : members)
      if (run.flaw.empty()) run.flaw = flaws[m];
    out.chains.push_back(std::move(run));
  }
  return out;
}

}  // namespace ovolo::io
