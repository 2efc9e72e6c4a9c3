#include "sim/geometry/chain.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <unordered_map>

namespace ovolo {
namespace {

constexpr double kShortest = 1e-6;  // shorter loops are rounding

// How near pieces meet: places far out are known less well.
double meeting_tolerance(const std::vector<ChainPiece>& pieces) {
  double scale = 0;
  for (const auto& [s, wanted] : pieces)
    for (const double v : {s.a.x, s.a.y, s.b.x, s.b.y}) scale = std::max(scale, std::abs(v));
  return std::clamp(4e-15 * scale, 1e-10, 1e-8);
}

// A part of a piece between two cuts.
struct Part {
  std::uint32_t piece;
  double s0, s1;
  std::uint32_t from = 0, to = 0;  // nodes
};

// Gives places that are the same within a tolerance the same number.
class Nodes {
 public:
  explicit Nodes(double same) : same_(same) {}
  std::uint32_t add(Vec2 p) {
    const std::int64_t cx = cell(p.x);
    const std::int64_t cy = cell(p.y);
    for (std::int64_t dx = -1; dx <= 1; ++dx) {
      for (std::int64_t dy = -1; dy <= 1; ++dy) {
        const auto found = grid_.find(key(cx + dx, cy + dy));
        if (found == grid_.end()) continue;
        for (const std::uint32_t n : found->second)
          if (distance(places_[n], p) <= same_) return n;
      }
    }
    const std::uint32_t n = static_cast<std::uint32_t>(places_.size());
    places_.push_back(p);
    grid_[key(cx, cy)].push_back(n);
    return n;
  }
  std::size_t size() const { return places_.size(); }
  double same() const { return same_; }

 private:
  double same_;
  std::vector<Vec2> places_;
  std::unordered_map<std::uint64_t, std::vector<std::uint32_t>> grid_;

  std::int64_t cell(double v) const { return static_cast<std::int64_t>(std::floor(v / same_)); }
  static std::uint64_t key(std::int64_t x, std::int64_t y) {
    return static_cast<std::uint64_t>(x) * 0x9E3779B97F4A7C15ULL + static_cast<std::uint64_t>(y);
  }
};

// Arc lengths at which each piece meets another, its ends included, ascending.
std::vector<std::vector<double>> cuts_of(const std::vector<ChainPiece>& pieces, double meet) {
  std::vector<Box2> boxes;
  boxes.reserve(pieces.size());
  std::vector<std::vector<double>> cuts(pieces.size());
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    boxes.push_back(pieces[i].segment.box());
    cuts[i] = {0, pieces[i].segment.length()};
  }
  const BoxTree tree(boxes);
  for (std::uint32_t i = 0; i < pieces.size(); ++i) {
    tree.any(boxes[i].grown(meet), [&](std::uint32_t j) {
      if (j <= i) return false;
      for (const Crossing& c : crossings(pieces[i].segment, pieces[j].segment, meet)) {
        cuts[i].push_back(c.s);
        cuts[j].push_back(c.t);
      }
      return false;
    });
  }
  for (auto& c : cuts) std::sort(c.begin(), c.end());
  return cuts;
}

class Chainer {
 public:
  Chainer(const std::vector<ChainPiece>& pieces, const std::function<bool(Vec2)>& keeps)
      : pieces_(pieces), nodes_(10 * meeting_tolerance(pieces)) {
    const auto cuts = cuts_of(pieces, meeting_tolerance(pieces));
    for (std::uint32_t i = 0; i < pieces.size(); ++i) {
      const Segment& s = pieces[i].segment;
      std::uint32_t from = nodes_.add(s.a);
      double s0 = 0;
      for (std::size_t k = 1; k < cuts[i].size(); ++k) {
        const double s1 = cuts[i][k];
        const std::uint32_t to = nodes_.add(s.point(s1));
        // Cuts at one place are one cut; a full circle's two ends are not.
        if (to == from && s1 - s0 <= 4 * nodes_.same()) continue;
        if (keeps(s.point(0.5 * (s0 + s1)))) parts_.push_back({i, s0, s1, from, to});
        from = to;
        s0 = s1;
      }
    }
    prune();
  }

  std::vector<Contour> contours() {
    for (std::uint32_t i = 0; i < parts_.size(); ++i)
      if (!used_[i]) walk(i);
    // Order of travel, so that open contours follow one another.
    std::stable_sort(found_.begin(), found_.end(),
                     [](const Found& a, const Found& b) { return a.first < b.first; });
    std::vector<Contour> result;
    for (Found& f : found_) result.push_back(std::move(f.contour));
    return result;
  }

 private:
  using Way = std::vector<std::uint32_t>;  // parts in order
  struct Found {
    std::uint32_t first;  // least part
    Contour contour;
  };
  const std::vector<ChainPiece>& pieces_;
  Nodes nodes_;
  std::vector<Part> parts_;
  std::vector<char> used_;  // or dropped
  std::vector<Way> out_;    // parts that leave a node
  std::vector<Found> found_;

  // Drops parts that nothing leads to or that lead to nothing, until all others are on a way round.
  void prune() {
    used_.assign(parts_.size(), 0);
    out_.resize(nodes_.size());
    std::vector<Way> in(nodes_.size());
    for (std::uint32_t i = 0; i < parts_.size(); ++i) {
      out_[parts_[i].from].push_back(i);
      in[parts_[i].to].push_back(i);
    }
    std::vector<std::size_t> ways_in(nodes_.size()), ways_out(nodes_.size());
    for (std::size_t n = 0; n < nodes_.size(); ++n) {
      ways_in[n] = in[n].size();
      ways_out[n] = out_[n].size();
    }
    Way doubtful(parts_.size());
    std::iota(doubtful.rbegin(), doubtful.rend(), 0U);
    while (!doubtful.empty()) {
      const std::uint32_t i = doubtful.back();
      doubtful.pop_back();
      const Part& p = parts_[i];
      if (used_[i] || (ways_in[p.from] > 0 && ways_out[p.to] > 0)) continue;
      used_[i] = 1;
      if (--ways_out[p.from] == 0) doubtful.insert(doubtful.end(), in[p.from].begin(), in[p.from].end());
      if (--ways_in[p.to] == 0) doubtful.insert(doubtful.end(), out_[p.to].begin(), out_[p.to].end());
    }
  }

  bool goes_on(std::uint32_t i, std::uint32_t k) const {
    return parts_[i].piece == parts_[k].piece && parts_[i].s1 == parts_[k].s0;
  }

  // The way on from a part: its own piece where that goes on, else the first part not used; -1 when there is
  // none.
  std::int64_t next_of(std::uint32_t i) const {
    std::int64_t next = -1;
    for (const std::uint32_t k : out_[parts_[i].to]) {
      if (used_[k]) continue;
      if (goes_on(i, k)) return k;
      if (next < 0) next = k;
    }
    return next;
  }

  // Follows the parts from `start`, taking out a loop whenever a node comes round again.
  void walk(std::uint32_t start) {
    Way way;
    std::unordered_map<std::uint32_t, std::size_t> at;  // node -> length of the way when it was met
    at[parts_[start].from] = 0;
    for (std::int64_t i = start; i >= 0; i = next_of(way.back())) {
      const std::uint32_t part = static_cast<std::uint32_t>(i);
      used_[part] = 1;
      way.push_back(part);
      const auto seen = at.find(parts_[part].to);
      if (seen == at.end()) {
        at[parts_[part].to] = way.size();
        continue;
      }
      const std::size_t first = seen->second;
      take(Way(way.begin() + static_cast<std::ptrdiff_t>(first), way.end()));
      for (std::size_t k = first + 1; k < way.size(); ++k) at.erase(parts_[way[k]].from);
      way.resize(first);
      if (way.empty()) return;
    }
  }

  bool wanted(std::uint32_t part) const { return pieces_[parts_[part].piece].wanted; }

  void take(Way loop) {
    const std::size_t n = loop.size();
    const auto begin_at = [&](std::size_t k) {
      std::rotate(loop.begin(), loop.begin() + static_cast<std::ptrdiff_t>(k), loop.end());
    };
    const auto unwanted =
        std::find_if(loop.begin(), loop.end(), [this](std::uint32_t p) { return !wanted(p); });
    if (unwanted == loop.end()) {
      // Begin where a piece begins, so that no piece is cut by the loop's own joint.
      for (std::size_t k = 0; k < n; ++k) {
        if (goes_on(loop[(k + n - 1) % n], loop[k])) continue;
        begin_at(k);
        break;
      }
      emit(loop, true);
      return;
    }
    begin_at(static_cast<std::size_t>(unwanted - loop.begin()));
    Way run;
    for (std::size_t k = 0; k < n; ++k) {
      if (wanted(loop[k])) run.push_back(loop[k]);
      if (!run.empty() && (k + 1 == n || !wanted(loop[k + 1]))) {
        emit(run, false);
        run.clear();
      }
    }
  }

  void emit(const Way& way, bool closed) {
    std::vector<Segment> segments;
    double length = 0;
    for (std::size_t k = 0; k < way.size();) {
      std::size_t n = k + 1;
      while (n < way.size() && goes_on(way[n - 1], way[n])) ++n;
      const Part& first = parts_[way[k]];
      segments.push_back(pieces_[first.piece].segment.part(first.s0, parts_[way[n - 1]].s1));
      length += segments.back().length();
      k = n;
    }
    if (length > kShortest)
      found_.push_back({*std::min_element(way.begin(), way.end()), Contour(std::move(segments), closed)});
  }
};

}  // namespace

std::vector<Contour> chain_pieces(const std::vector<ChainPiece>& pieces,
                                  const std::function<bool(Vec2)>& keeps) {
  return Chainer(pieces, keeps).contours();
}

}  // namespace ovolo
