#include "sim/measure/folded.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "sim/measure/curve_points.hpp"

namespace ovolo {
namespace {

constexpr double kInf = std::numeric_limits<double>::infinity();
constexpr double kPoint = 1e-9;   // mm, places nearer than this are one
constexpr double kEqual = 1e-10;  // mm, heights nearer than this are one
constexpr double kWall = 1e-3;    // mm, what stands nearer to the wall is the wall's
constexpr double kRise = 5e-7;    // mm: where a curve stands upright rounding in u shows as much in z
constexpr int kTop = -1, kBottom = -2;

// One piece of an outline as a graph over r; falling ones are given the other way round, r0 < r1.
struct Side {
  Profile::Piece graph;
  bool opens = false;  // going up the bit gets wider: below it there is none of it
};

std::vector<Side> sides_of(const BitBody& body) {
  std::vector<Side> out;
  for (const Segment& s : body.outline()) {
    if (std::abs(s.a.x - s.b.x) < kPoint) continue;
    Side side;
    side.opens = s.b.x > s.a.x;
    const Segment curve = side.opens ? s : s.reversed();
    side.graph = {curve, curve.a.x, curve.b.x, curve.a.y, curve.b.y, 0};
    if (curve.is_arc()) side.graph.side = curve.point(curve.length() / 2).y >= curve.centre.y ? 1 : -1;
    out.push_back(side);
  }
  return out;
}

// A smooth boundary over [u0, u1].
struct Curve {
  double u0 = 0, u1 = 0;
  std::uint32_t sweep = 0;
  int side = -1;  // of the body; -1: sloped, its `range`-th stretch
  int range = 0;
  bool upper = false;  // of a sloped stretch: its upper end
  double lift = 0;
  bool exact = false;
};

// What a sweep takes out over [u0, u1]: between two curves, or open.
struct Stretch {
  double u0, u1;
  std::uint32_t sweep;
  int low, high;  // curves; kBottom and kTop when open
};

struct Free {  // material between two curves
  int low, high;
};

// Between two neighbouring places where anything changes.
struct Slab {
  double u0, u1;
  std::vector<Free> free;
  std::vector<std::uint32_t> active;  // stretches
};

// One step of the way round.
struct Step {
  int curve = 0;  // kTop, kBottom, or a curve; upright when `upright`
  bool upright = false;
  Vec2 from, to;
  std::int32_t stretch = -1;  // of an upright: what took the other side
};

class Folding {
 public:
  /// Sweeps from `idle` on take nothing away: they are only held against what the others leave.
  Folding(const std::vector<Sweep>& sweeps, const SweepHeights& heights, double u_max, double thickness,
          std::size_t idle)
      : sweeps_(sweeps), heights_(heights), u_max_(u_max), bottom_(-thickness), idle_(idle) {
    std::vector<const BitBody*> bodies;
    for (const Sweep& s : sweeps_) {
      const auto known = std::find(bodies.begin(), bodies.end(), s.body);
      body_of_.push_back(static_cast<std::size_t>(known - bodies.begin()));
      if (known != bodies.end()) continue;
      bodies.push_back(s.body);
      sides_.push_back(sides_of(*s.body));
    }
    for (std::uint32_t i = 0; i < sweeps_.size(); ++i)
      sweeps_[i].feature.kind == Feature::Kind::sloped ? add_sloped(i) : add_level(i);
    cut_up();
  }

  double z(int curve, double u) const {
    if (curve == kTop) return 0;
    if (curve == kBottom) return bottom_;
    return std::clamp(raw(curves_[static_cast<std::size_t>(curve)], u), bottom_, 0.0);
  }
  const Overlap& overlap() const { return overlap_; }
  double low_of(const Stretch& s, double u) const { return s.low == kBottom ? -kInf : raw_at(s.low, u); }
  double high_of(const Stretch& s, double u) const { return s.high == kTop ? kInf : raw_at(s.high, u); }

  Section trace() const;

 private:
  double raw_at(int curve, double u) const { return raw(curves_[static_cast<std::size_t>(curve)], u); }

  double raw(const Curve& c, double u) const {
    const Sweep& sweep = sweeps_[c.sweep];
    const double at = std::clamp(u, c.u0, c.u1);
    double up;
    if (c.side < 0) {
      heights_.sloped(sweep, at, ranges_);
      if (ranges_.empty()) return sweep.turned ? bottom_ : 0;
      const auto& r = ranges_[std::min(static_cast<std::size_t>(c.range), ranges_.size() - 1)];
      up = c.upper ? r.hi : r.lo;
    } else {
      const Profile::Piece& graph = sides_[body_of_[c.sweep]][static_cast<std::size_t>(c.side)].graph;
      up =
          sweep.feature.z + c.lift + graph.height(std::clamp(sweep.feature.distance(at), graph.r0, graph.r1));
      if (!c.exact && !sweep.turned) up += heights_.shift(sweep.feature.move, at);
    }
    return sweep.turned ? bottom_ - up : up;
  }

  int curve(Curve c) {
    curves_.push_back(c);
    return static_cast<int>(curves_.size()) - 1;
  }

  void add_stretch(std::uint32_t sweep, double u0, double u1, int low, int high) {
    if (sweeps_[sweep].turned) {
      std::swap(low, high);
      if (low == kTop) low = kBottom;
    }
    stretches_.push_back({u0, u1, sweep, low, high});
  }

  void add_level(std::uint32_t i) {
    const Feature& f = sweeps_[i].feature;
    const auto& sides = sides_[body_of_[i]];
    std::vector<double> cuts{f.u0, f.u1};
    f.turns(cuts);
    for (const Side& s : sides) {
      f.where(s.graph.r0, cuts);
      f.where(s.graph.r1, cuts);
    }
    std::sort(cuts.begin(), cuts.end());
    const double lo = std::max(0.0, f.u0), hi = std::min(u_max_, f.u1);
    double previous = lo;
    for (double cut : cuts) {
      cut = std::clamp(cut, lo, hi);
      if (cut - previous <= kPoint) continue;
      const double u0 = previous, u1 = cut;
      previous = cut;
      const double d = std::max(1e-12, f.distance((u0 + u1) / 2));
      int low = 0;
      bool open = false;
      for (std::size_t k = 0; k < sides.size(); ++k) {
        const Side& s = sides[k];
        if (!(d > s.graph.r0 && d < s.graph.r1) || s.opens == open) continue;
        const int c = curve(level_curve(i, static_cast<int>(k), u0, u1, s.opens ? 0 : sweeps_[i].rise));
        if (s.opens)
          low = c;
        else
          add_stretch(i, u0, u1, low, c);
        open = s.opens;
      }
      if (open) add_stretch(i, u0, u1, low, kTop);
    }
  }

  Curve level_curve(std::uint32_t i, int side, double u0, double u1, double lift) const {
    const Feature& f = sweeps_[i].feature;
    const Profile::Piece& graph = sides_[body_of_[i]][static_cast<std::size_t>(side)].graph;
    Curve c;
    c.u0 = u0;
    c.u1 = u1;
    c.sweep = i;
    c.side = side;
    c.lift = lift;
    const bool level = graph.h0 == graph.h1, linear = f.kind == Feature::Kind::linear;
    c.exact = !heights_.shifted(f.move) &&
              (level || f.kind == Feature::Kind::zero || (linear && (graph.side == 0 || std::abs(f.q) == 1)));
    return c;
  }

  // Where the number of a sloped move's stretches changes is found by halving.
  void add_sloped(std::uint32_t i) {
    const Feature& f = sweeps_[i].feature;
    const double lo = std::max(0.0, f.u0), hi = std::min(u_max_, f.u1);
    constexpr int kParts = 32;  // so that pruning by end heights is safe
    for (int k = 0; k < kParts; ++k)
      add_sloped_part(i, lo + (hi - lo) * k / kParts, lo + (hi - lo) * (k + 1) / kParts);
  }

  std::pair<std::size_t, bool> kind_at(std::uint32_t i, double u) const {
    heights_.sloped(sweeps_[i], u, ranges_);
    return {ranges_.size(), !ranges_.empty() && ranges_.back().hi == kInf};
  }

  void add_sloped_part(std::uint32_t i, double u0, double u1) {
    if (u1 - u0 < kPoint) return;
    const double in = std::min(1e-10, (u1 - u0) / 4);
    const auto kind = kind_at(i, (u0 + u1) / 2);
    if (kind_at(i, u0 + in) != kind || kind_at(i, u1 - in) != kind) {
      add_sloped_part(i, u0, (u0 + u1) / 2);
      add_sloped_part(i, (u0 + u1) / 2, u1);
      return;
    }
    for (std::size_t k = 0; k < kind.first; ++k) {
      Curve c;
      c.u0 = u0 + in;
      c.u1 = u1 - in;
      c.sweep = i;
      c.range = static_cast<int>(k);
      const int low = curve(c);
      c.upper = true;
      const bool open = kind.second && k + 1 == kind.first;
      add_stretch(i, u0, u1, low, open ? kTop : curve(c));
    }
  }

  template <class D>
  void add_crossings(D d, double u0, double u1, std::vector<double>& out) const {
    constexpr int kSamples = 12;
    std::array<double, kSamples + 1> us, ds;
    for (std::size_t i = 0; i <= kSamples; ++i) {
      us[i] = u0 + (u1 - u0) * static_cast<double>(i) / kSamples;
      ds[i] = d(us[i]);
    }
    for (std::size_t i = 0; i < kSamples; ++i)
      if ((ds[i] < 0) != (ds[i + 1] < 0)) out.push_back(bisect(d, us[i], us[i + 1], ds[i]));
    // Two crossings may hide between samples where the gap is narrowest.
    for (std::size_t i = 1; i < kSamples; ++i) {
      const double here = std::abs(ds[i]);
      if (here > std::abs(ds[i - 1]) || here > std::abs(ds[i + 1]) || here < kEqual) continue;
      if ((ds[i] < 0) != (ds[i - 1] < 0) || (ds[i] < 0) != (ds[i + 1] < 0)) continue;
      double lo = us[i - 1], hi = us[i + 1];
      for (int k = 0; k < 60 && hi - lo > kPoint; ++k) {
        const double m1 = lo + (hi - lo) / 3, m2 = hi - (hi - lo) / 3, f1 = d(m1);
        if ((f1 < 0) != (ds[i] < 0)) {
          out.push_back(bisect(d, us[i - 1], m1, ds[i - 1]));
          out.push_back(bisect(d, m1, us[i + 1], f1));
          break;
        }
        (std::abs(f1) < std::abs(d(m2)) ? hi : lo) = std::abs(f1) < std::abs(d(m2)) ? m2 : m1;
      }
    }
  }

  void cut_up() {
    std::vector<double> marks{std::min(kWall, u_max_ / 2), u_max_};
    const double first = marks[0];
    for (const Stretch& s : stretches_)
      for (const double u : {s.u0, s.u1})
        if (u > first && u < u_max_) marks.push_back(u);
    std::sort(marks.begin(), marks.end());
    marks.erase(std::unique(marks.begin(), marks.end(), [](double a, double b) { return b - a <= kPoint; }),
                marks.end());
    marks.back() = u_max_;
    std::vector<std::uint32_t> order(stretches_.size()), active;
    for (std::uint32_t i = 0; i < order.size(); ++i) order[i] = i;
    std::stable_sort(order.begin(), order.end(),
                     [&](std::uint32_t a, std::uint32_t b) { return stretches_[a].u0 < stretches_[b].u0; });
    std::size_t next = 0;
    for (std::size_t i = 0; i + 1 < marks.size(); ++i) {
      const double u0 = marks[i], u1 = marks[i + 1];
      while (next < order.size() && stretches_[order[next]].u0 <= u0 + 2 * kPoint)
        active.push_back(order[next++]);
      std::erase_if(active, [&](std::uint32_t s) { return stretches_[s].u1 < u1 - 2 * kPoint; });
      std::sort(active.begin(), active.end());
      cut_slab(u0, u1, active);
    }
  }

  // Without the stretches that others hide over the whole slab: of one bit at one height the sweep that comes
  // nearest takes the most, and one that is open to a face hides what begins beyond it.
  std::vector<std::uint32_t> seen(double u0, double u1, const std::vector<std::uint32_t>& active) const {
    const double us[] = {u0, (u0 + u1) / 2, u1};
    struct Near {
      std::uint32_t sweep;
      double d[3];
    };
    const auto alike = [&](const Sweep& a, const Sweep& b) {
      return a.body == b.body && a.feature.z == b.feature.z && a.rise == b.rise && a.turned == b.turned &&
             !heights_.shifted(a.feature.move) && !heights_.shifted(b.feature.move);
    };
    std::vector<Near> nearest;  // none of them farther than another of its kind at all three places
    std::vector<std::uint32_t> out;
    for (const std::uint32_t i : active) {
      const std::uint32_t k = stretches_[i].sweep;
      const Sweep& sweep = sweeps_[k];
      if (sweep.feature.kind == Feature::Kind::sloped || k >= idle_) continue;
      if (!nearest.empty() && nearest.back().sweep == k) continue;
      Near n{k,
             {sweep.feature.distance(us[0]), sweep.feature.distance(us[1]), sweep.feature.distance(us[2])}};
      const auto hides = [&](const Near& a, const Near& b) {
        return alike(sweeps_[a.sweep], sweeps_[b.sweep]) && a.d[0] <= b.d[0] && a.d[1] <= b.d[1] &&
               a.d[2] <= b.d[2];
      };
      if (std::any_of(nearest.begin(), nearest.end(),
                      [&](const Near& o) { return hides(o, n) && !hides(n, o); }))
        continue;
      std::erase_if(nearest, [&](const Near& o) { return hides(n, o); });
      nearest.push_back(n);
    }
    double lowest_top = kInf, highest_bottom = -kInf;  // what is surely open to the top, or to the bottom
    std::uint32_t top_owner = 0, bottom_owner = 0;
    for (const std::uint32_t i : active) {
      const Stretch& s = stretches_[i];
      if (s.sweep >= idle_) continue;
      if (s.high == kTop && s.low >= 0) {
        const double most = std::max({raw_at(s.low, us[0]), raw_at(s.low, us[1]), raw_at(s.low, us[2])});
        if (most < lowest_top) {
          lowest_top = most;
          top_owner = i;
        }
      } else if (s.low == kBottom && s.high >= 0) {
        const double least = std::min({raw_at(s.high, us[0]), raw_at(s.high, us[1]), raw_at(s.high, us[2])});
        if (least > highest_bottom) {
          highest_bottom = least;
          bottom_owner = i;
        }
      }
    }
    constexpr double kClear = 1e-3;  // mm: sampled ends may bow between the places looked at
    for (const std::uint32_t i : active) {
      const Stretch& s = stretches_[i];
      const Sweep& sweep = sweeps_[s.sweep];
      const bool level = sweep.feature.kind != Feature::Kind::sloped && s.sweep < idle_;
      if (level &&
          std::none_of(nearest.begin(), nearest.end(), [&](const Near& n) { return n.sweep == s.sweep; }))
        continue;
      if (i != top_owner && lowest_top < kInf && s.low >= 0 && s.sweep < idle_ &&
          std::min({raw_at(s.low, us[0]), raw_at(s.low, us[1]), raw_at(s.low, us[2])}) > lowest_top + kClear)
        continue;
      if (i != bottom_owner && highest_bottom > -kInf && s.high >= 0 && s.sweep < idle_ &&
          std::max({raw_at(s.high, us[0]), raw_at(s.high, us[1]), raw_at(s.high, us[2])}) <
              highest_bottom - kClear)
        continue;
      out.push_back(i);
    }
    return out;
  }

  // Splits where the order of two boundaries changes, then takes the union of what is gone.
  void cut_slab(double u0, double u1, const std::vector<std::uint32_t>& all) {
    const std::vector<std::uint32_t> active = seen(u0, u1, all);
    std::vector<int> curves;
    for (const std::uint32_t s : active)
      for (const int c : {stretches_[s].low, stretches_[s].high})
        if (c >= 0) curves.push_back(c);
    struct Span {
      double lo, hi;
    };
    std::vector<Span> spans;
    for (const int c : curves) {
      const double a = raw_at(c, u0), b = raw_at(c, u1), m = raw_at(c, (u0 + u1) / 2);
      const double slack = curves_[static_cast<std::size_t>(c)].side < 0 ? 1e-3 : kEqual;
      spans.push_back({std::min({a, b, m}) - slack, std::max({a, b, m}) + slack});
    }
    std::vector<double> cuts{u0, u1};
    for (std::size_t i = 0; i < curves.size(); ++i) {
      if (spans[i].hi < bottom_ || spans[i].lo > 0) continue;
      for (const double level : {0.0, bottom_})
        if (spans[i].lo <= level && spans[i].hi >= level)
          add_crossings([&](double u) { return raw_at(curves[i], u) - level; }, u0, u1, cuts);
      for (std::size_t k = i + 1; k < curves.size(); ++k)
        if (spans[i].lo <= spans[k].hi && spans[k].lo <= spans[i].hi)
          add_crossings([&](double u) { return raw_at(curves[i], u) - raw_at(curves[k], u); }, u0, u1, cuts);
    }
    std::sort(cuts.begin(), cuts.end());
    double from = u0;
    for (std::size_t i = 1; i < cuts.size(); ++i) {
      const double to = cuts[i];
      const bool last = i + 1 == cuts.size();
      if (!last && (to - from <= kPoint || u1 - to <= kPoint)) continue;
      add_slab(from, to, active);
      from = to;
    }
  }

  void add_slab(double u0, double u1, const std::vector<std::uint32_t>& active) {
    Slab slab{u0, u1, {}, active};
    const double middle = (u0 + u1) / 2;
    struct Gone {
      double lo, hi;
      int low, high;
    };
    std::vector<Gone> gone;
    for (const std::uint32_t i : active) {
      const Stretch& s = stretches_[i];
      if (s.sweep >= idle_) continue;
      const double lo = low_of(s, middle), hi = high_of(s, middle);
      if (hi - lo > kEqual && hi > bottom_ && lo < 0) gone.push_back({lo, hi, s.low, s.high});
    }
    std::stable_sort(gone.begin(), gone.end(), [](const Gone& a, const Gone& b) { return a.lo < b.lo; });
    // Of boundaries at one height the last made is named.
    double at = bottom_;
    int low = kBottom;
    for (const Gone& g : gone) {
      if (g.lo > at + kEqual)
        slab.free.push_back({low, g.low});
      else if (!slab.free.empty() && at > bottom_ && slab.free.back().high >= 0 &&
               std::abs(raw_at(slab.free.back().high, middle) - g.lo) <= kEqual)
        slab.free.back().high = g.low;
      if (g.hi < at - kEqual) continue;
      low = g.high;
      at = std::max(at, g.hi);
    }
    if (at < -kEqual) slab.free.push_back({low, kTop});
    note_overlap(slab);
    slabs_.push_back(std::move(slab));
  }

  void note_overlap(const Slab& slab) {
    const double middle = (slab.u0 + slab.u1) / 2;
    double highest = 0;
    for (const std::uint32_t i : slab.active) {
      const Stretch& s = stretches_[i];
      if (s.sweep < idle_) continue;
      const double lo = low_of(s, middle), hi = high_of(s, middle);
      double height = 0;
      for (const Free& f : slab.free)
        height += std::max(0.0, std::min(hi, z(f.high, middle)) - std::max(lo, z(f.low, middle)));
      highest = std::max(highest, height);
      if (height <= kWall || height <= overlap_height_) continue;
      overlap_height_ = height;
      overlap_.at = {middle, std::clamp((std::max(lo, bottom_) + std::min(hi, 0.0)) / 2, bottom_, 0.0)};
    }
    if (highest <= kWall) return;
    overlap_.width += slab.u1 - slab.u0;
    overlap_.area += highest * (slab.u1 - slab.u0);
  }

  // Bounds of a stretch of material at one end of its slab.
  struct Ends {
    double lo, hi;
  };
  Ends ends(std::size_t slab, std::size_t free, bool right) const {
    const Slab& s = slabs_[slab];
    const double u = right ? s.u1 : slab == 0 ? 0 : s.u0;
    return {z(s.free[free].low, u), z(s.free[free].high, u)};
  }

  using Kept = std::vector<std::vector<std::size_t>>;  // per slab the stretches of the kept part, from below
  std::vector<std::vector<bool>> kept_part() const;
  std::vector<Step> way_round(const Kept& own, std::size_t last, std::size_t slab, std::size_t at,
                              std::vector<std::vector<bool>>& seen) const;
  double thinnest(const std::vector<std::vector<bool>>& kept) const;
  void upright(std::vector<Step>& steps, std::size_t left_of, double u, double from, double to) const;
  const BitBody* body_of_move(std::int32_t move) const {
    for (const Sweep& s : sweeps_)
      if (static_cast<std::int32_t>(s.feature.move) == move) return s.body;
    return nullptr;
  }
  std::vector<SectionPiece> pieces_of(const std::vector<Step>& steps) const;
  SectionPiece shape(const Step& step) const;

  const std::vector<Sweep>& sweeps_;
  const SweepHeights& heights_;
  double u_max_, bottom_;
  std::size_t idle_;
  Overlap overlap_;
  double overlap_height_ = 0;
  std::vector<std::vector<Side>> sides_;
  std::vector<std::size_t> body_of_;
  std::vector<Curve> curves_;
  std::vector<Stretch> stretches_;
  std::vector<Slab> slabs_;
  mutable std::vector<HeightRange> ranges_;
};

// The connected part with the greatest area of those that reach u_max, else of all.
std::vector<std::vector<bool>> Folding::kept_part() const {
  std::vector<std::vector<std::size_t>> label(slabs_.size());
  std::vector<std::size_t> parent;
  std::vector<double> area;
  const auto root = [&](std::size_t i) {
    while (parent[i] != i) i = parent[i];
    return i;
  };
  for (std::size_t s = 0; s < slabs_.size(); ++s) {
    for (std::size_t k = 0; k < slabs_[s].free.size(); ++k) {
      label[s].push_back(parent.size());
      parent.push_back(parent.size());
      const double m = (slabs_[s].u0 + slabs_[s].u1) / 2;
      area.push_back((slabs_[s].u1 - slabs_[s].u0) *
                     (z(slabs_[s].free[k].high, m) - z(slabs_[s].free[k].low, m)));
      if (s == 0) continue;
      const Ends here = ends(s, k, false);
      for (std::size_t j = 0; j < slabs_[s - 1].free.size(); ++j) {
        const Ends there = ends(s - 1, j, true);
        if (std::min(here.hi, there.hi) - std::max(here.lo, there.lo) <= kPoint) continue;
        const std::size_t a = root(label[s - 1][j]), b = root(label[s][k]);
        parent[std::max(a, b)] = std::min(a, b);
      }
    }
  }
  std::vector<double> whole(parent.size(), 0);
  for (std::size_t i = 0; i < parent.size(); ++i) whole[root(i)] += area[i];
  std::size_t best = parent.size();
  const auto offer = [&](std::size_t i) {
    if (best == parent.size() || whole[root(i)] > whole[best]) best = root(i);
  };
  if (!slabs_.empty())
    for (const std::size_t i : label.back()) offer(i);
  if (best == parent.size())
    for (std::size_t i = 0; i < parent.size(); ++i) offer(i);
  std::vector<std::vector<bool>> kept(slabs_.size());
  for (std::size_t s = 0; s < slabs_.size(); ++s)
    for (const std::size_t i : label[s]) kept[s].push_back(root(i) == best);
  return kept;
}

void Folding::upright(std::vector<Step>& steps, std::size_t left_of, double u, double from, double to) const {
  if (std::abs(to - from) <= kRise) return;
  Step step;
  step.upright = true;
  step.from = {u, from};
  step.to = {u, to};
  // Going up the material lies to the right, so what is gone lies to the left.
  const bool gone_left = to > from;
  const double middle = (from + to) / 2;
  if (!(gone_left && left_of == 0) && !(!gone_left && left_of == slabs_.size())) {
    const Slab& slab = slabs_[gone_left ? left_of - 1 : left_of];
    bool ends_here = false;
    for (const std::uint32_t i : slab.active) {
      const Stretch& s = stretches_[i];
      if (!(low_of(s, u) <= middle && middle <= high_of(s, u))) continue;
      const bool edge = std::abs((gone_left ? s.u1 : s.u0) - u) <= 4 * kPoint;
      if (ends_here && !edge) continue;  // of several the last made is named
      step.stretch = static_cast<std::int32_t>(i);
      ends_here = edge;
    }
  }
  steps.push_back(step);
}

// Follows the boundary from the right end of a stretch's lower side until it comes to the right end of the
// whole part, or round to where it began. `seen` marks the lower sides gone along.
std::vector<Step> Folding::way_round(const Kept& own, std::size_t last, std::size_t slab, std::size_t at,
                                     std::vector<std::vector<bool>>& seen) const {
  std::vector<Step> steps;
  bool outward = false;  // along a top, u rising; else along a bottom, u falling
  for (;;) {
    const Slab& s = slabs_[slab];
    if (!outward) {
      if (seen[slab][at]) break;
      seen[slab][at] = true;
    }
    const double left = slab == 0 ? 0 : s.u0;
    const Free& free = s.free[own[slab][at]];
    Step along;
    along.curve = outward ? free.high : free.low;
    const Vec2 a{left, z(along.curve, left)}, b{s.u1, z(along.curve, s.u1)};
    along.from = outward ? a : b;
    along.to = outward ? b : a;
    steps.push_back(along);
    const double here = along.to.y;
    if (!outward) {
      const double up = ends(slab, own[slab][at], false).hi;
      if (slab == 0) {
        upright(steps, 0, left, here, up);
        outward = true;
        continue;
      }
      // Does the material to the left go on just above?
      const auto& there = own[slab - 1];
      std::size_t j = 0;
      while (j < there.size() && ends(slab - 1, there[j], true).hi <= here + kPoint) ++j;
      if (j < there.size() && ends(slab - 1, there[j], true).lo <= here + kPoint) {
        const double low = ends(slab - 1, there[j], true).lo;
        if (at > 0 && ends(slab, own[slab][at - 1], false).hi > low + kPoint) {
          const double top = ends(slab, own[slab][at - 1], false).hi;
          upright(steps, slab, left, here, top);
          --at;
          outward = true;
        } else {
          upright(steps, slab, left, here, low);
          --slab;
          at = j;
        }
      } else if (j < there.size() && ends(slab - 1, there[j], true).lo < up - kPoint) {
        upright(steps, slab, left, here, ends(slab - 1, there[j], true).lo);
        --slab;
        at = j;
      } else {
        upright(steps, slab, left, here, up);
        outward = true;
      }
      continue;
    }
    if (slab == last) break;
    // Does the material to the right go on just below?
    const auto& there = own[slab + 1];
    std::size_t j = there.size();
    while (j > 0 && ends(slab + 1, there[j - 1], false).lo >= here - kPoint)
      --j;  // there[j - 1] begins below
    if (j > 0 && ends(slab + 1, there[j - 1], false).hi >= here - kPoint) {
      const double high = ends(slab + 1, there[j - 1], false).hi;
      if (at + 1 < own[slab].size() && ends(slab, own[slab][at + 1], true).lo < high - kPoint) {
        upright(steps, slab + 1, s.u1, here, ends(slab, own[slab][at + 1], true).lo);
        ++at;
        outward = false;
      } else {
        upright(steps, slab + 1, s.u1, here, high);
        ++slab;
        at = j - 1;
      }
    } else if (j > 0 &&
               ends(slab + 1, there[j - 1], false).hi > ends(slab, own[slab][at], true).lo + kPoint) {
      upright(steps, slab + 1, s.u1, here, ends(slab + 1, there[j - 1], false).hi);
      ++slab;
      at = j - 1;
    } else {
      upright(steps, slab + 1, s.u1, here, ends(slab, own[slab][at], true).lo);
      outward = false;
    }
  }
  return steps;
}

SectionPiece Folding::shape(const Step& step) const {
  SectionPiece out;
  out.shape = Segment::line(step.from, step.to);
  if (step.upright) {
    if (step.from.x == 0 && step.stretch < 0) {
      out.face = SectionFace::wall;
    } else {
      out.face = SectionFace::cut;
      if (step.stretch >= 0)
        out.move = static_cast<std::int32_t>(
            sweeps_[stretches_[static_cast<std::size_t>(step.stretch)].sweep].feature.move);
    }
    return out;
  }
  if (step.curve < 0) {
    out.face = step.curve == kTop ? SectionFace::top : SectionFace::bottom;
    return out;
  }
  const Curve& c = curves_[static_cast<std::size_t>(step.curve)];
  const Sweep& sweep = sweeps_[c.sweep];
  out.face = SectionFace::cut;
  out.move = static_cast<std::int32_t>(sweep.feature.move);
  const Profile::Piece& graph = sides_[body_of_[c.sweep]][static_cast<std::size_t>(c.side)].graph;
  const Feature& f = sweep.feature;
  out.floor = f.kind != Feature::Kind::sloped && (f.kind == Feature::Kind::zero || graph.h0 == graph.h1);
  if (c.exact) {
    if (graph.side == 0 || f.kind == Feature::Kind::zero) return out;
    const double sign = f.p + f.q * (c.u0 + c.u1) / 2 < 0 ? -1 : 1;
    const double alpha = sign * f.p, beta = sign * f.q;  // r = alpha + beta u, beta = +-1
    const double up = f.z + c.lift + graph.curve.centre.y;
    const Vec2 centre{beta * (graph.curve.centre.x - alpha), sweep.turned ? bottom_ - up : up};
    const bool upper_half = (graph.side > 0) != sweep.turned;
    const bool outward = step.to.x > step.from.x;
    out.kind = SectionPiece::Kind::arc;
    out.shape = Segment::arc_between(step.from, step.to, centre, upper_half != outward);
    out.shape.radius = graph.curve.radius;
    return out;
  }
  out.kind = SectionPiece::Kind::curve;
  const auto at = [&](double u) { return z(step.curve, u); };
  const double du = step.to.x - step.from.x;
  const auto slope = [&](double u, double h) {
    return (-3 * at(u) + 4 * at(u + h) - at(u + 2 * h)) / (2 * h);
  };
  const double h = std::copysign(std::min(1e-3, std::abs(du) / 4), du);
  out.start_slope = slope(step.from.x, h);
  out.end_slope = slope(step.to.x, -h);
  out.points.push_back(step.from);
  sample(at, step.from, step.to, 14, out.points);
  return out;
}

// Neighbouring steps along one curve are one piece; so are pieces of one operation on one line or circle.
std::vector<SectionPiece> Folding::pieces_of(const std::vector<Step>& steps) const {
  std::vector<Step> joined;
  for (const Step& s : steps) {
    if (distance(s.from, s.to) <= kPoint) continue;
    if (!joined.empty() && !s.upright && !joined.back().upright && joined.back().curve == s.curve &&
        distance(joined.back().to, s.from) <= kPoint &&
        (joined.back().to.x > joined.back().from.x) == (s.to.x > s.from.x))
      joined.back().to = s.to;
    else
      joined.push_back(s);
  }
  std::vector<SectionPiece> pieces;
  for (Step& s : joined) {
    if (!pieces.empty()) s.from = pieces.back().end();
    // The first micrometre is the wall's: a curve that begins within it is carried on level.
    const bool begins_late = !s.upright && s.curve >= 0 && std::min(s.from.x, s.to.x) == 0 &&
                             curves_[static_cast<std::size_t>(s.curve)].u0 > kPoint;
    if (begins_late) {
      const double u = curves_[static_cast<std::size_t>(s.curve)].u0;
      Step level = s, rest = s;
      const Vec2 at{u, s.to.x == 0 ? s.to.y : s.from.y};
      (s.to.x == 0 ? rest.to : rest.from) = at;
      (s.to.x == 0 ? level.from : level.to) = at;
      SectionPiece run = shape(rest), on = shape(rest);
      on.kind = SectionPiece::Kind::line;
      on.points.clear();
      on.shape = Segment::line(level.from, level.to);
      if (s.to.x == 0) {
        pieces.push_back(std::move(run));
        pieces.push_back(std::move(on));
      } else {
        pieces.push_back(std::move(on));
        pieces.push_back(std::move(run));
      }
      continue;
    }
    SectionPiece piece = shape(s);
    if (!pieces.empty() && pieces.back().face == piece.face && pieces.back().kind == piece.kind &&
        piece.kind != SectionPiece::Kind::curve) {
      SectionPiece& before = pieces.back();
      const Segment &a = before.shape, &b = piece.shape;
      const bool one_body = body_of_move(before.move) == body_of_move(piece.move);
      if (one_body && !a.is_arc() &&
          std::abs(cross(normalized(a.b - a.a), normalized(b.b - b.a))) * std::min(a.length(), b.length()) <
              kPoint &&
          dot(a.b - a.a, b.b - b.a) > 0) {
        before.shape = Segment::line(a.a, b.b);
        continue;
      }
      if (one_body && a.is_arc() && distance(a.centre, b.centre) < kPoint &&
          std::abs(a.radius - b.radius) < kPoint && (a.sweep > 0) == (b.sweep > 0) &&
          (a.b.x > a.a.x) == (b.b.x > b.a.x) && (a.b.y > a.a.y) == (b.b.y > b.a.y)) {
        before.shape = Segment::arc_between(a.a, b.b, a.centre, a.sweep > 0);
        before.shape.radius = a.radius;
        continue;
      }
    }
    pieces.push_back(std::move(piece));
  }
  return pieces;
}

double Folding::thinnest(const std::vector<std::vector<bool>>& kept) const {
  double least = kInf;
  const auto thick = [&](std::size_t s, std::size_t k, double u) {
    return z(slabs_[s].free[k].high, u) - z(slabs_[s].free[k].low, u);
  };
  for (std::size_t s = 0; s < slabs_.size(); ++s)
    for (std::size_t k = 0; k < kept[s].size(); ++k) {
      if (!kept[s][k]) continue;
      const double u0 = s == 0 ? 0 : slabs_[s].u0, u1 = slabs_[s].u1;
      constexpr int kSamples = 8;
      double t[kSamples + 1];
      for (int i = 0; i <= kSamples; ++i) t[i] = thick(s, k, u0 + (u1 - u0) * i / kSamples);
      constexpr double kPlain = 1e-2;  // mm: narrower stretches look level anywhere
      if (u1 - u0 > kPlain &&
          *std::max_element(t, t + kSamples + 1) - *std::min_element(t, t + kSamples + 1) < kPoint)
        least = std::min(least, t[0]);
      if (u1 - u0 < kPlain) continue;  // rounding makes lows of nothing
      for (int i = 1; i < kSamples; ++i) {
        if (t[i] > t[i - 1] || t[i] > t[i + 1]) continue;
        double lo = u0 + (u1 - u0) * (i - 1) / kSamples, hi = u0 + (u1 - u0) * (i + 1) / kSamples;
        while (hi - lo > kPoint) {
          const double m1 = lo + (hi - lo) / 3, m2 = hi - (hi - lo) / 3;
          (thick(s, k, m1) < thick(s, k, m2) ? hi : lo) = thick(s, k, m1) < thick(s, k, m2) ? m2 : m1;
        }
        least = std::min(least, thick(s, k, (lo + hi) / 2));
      }
      const double step = std::min(1e-4, (u1 - u0) / 2);
      constexpr double kFall = 1e-11;  // mm over a tenth of a micrometre and more
      const bool falls = thick(s, k, u1 - step) > t[kSamples] + kFall;
      if (s + 1 == slabs_.size()) {
        if (falls) least = std::min(least, t[kSamples]);
        continue;
      }
      for (std::size_t j = 0; falls && j < kept[s + 1].size(); ++j) {
        const Slab& right = slabs_[s + 1];
        if (!kept[s + 1][j] || std::abs(thick(s + 1, j, right.u0) - t[kSamples]) > 1e-6 ||
            std::abs(z(right.free[j].low, right.u0) - z(slabs_[s].free[k].low, u1)) > 1e-6)
          continue;
        if (thick(s + 1, j, right.u0 + std::min(1e-4, (right.u1 - right.u0) / 2)) > t[kSamples] + kFall)
          least = std::min(least, t[kSamples]);
      }
    }
  return least;
}

Section Folding::trace() const {
  Section section;
  section.u_max = u_max_;
  section.folded = true;
  section.thickness = -bottom_;
  const auto kept = kept_part();
  Kept own(slabs_.size());
  std::vector<std::vector<bool>> seen(slabs_.size());
  std::size_t last = slabs_.size();
  for (std::size_t s = 0; s < slabs_.size(); ++s)
    for (std::size_t k = 0; k < kept[s].size(); ++k)
      if (kept[s][k]) {
        own[s].push_back(k);
        seen[s].push_back(false);
        last = s;
      }
  if (last == slabs_.size()) return section;
  section.pieces = pieces_of(way_round(own, last, last, 0, seen));
  for (std::size_t s = last + 1; s-- > 0;)
    for (std::size_t k = 0; k < own[s].size(); ++k)
      if (!seen[s][k]) section.hollows.push_back(pieces_of(way_round(own, last, s, k, seen)));
  const double least = thinnest(kept);
  if (std::isfinite(least)) section.thinnest = least;
  return section;
}

}  // namespace

Section folded_section(const std::vector<Sweep>& sweeps, const SweepHeights& heights, double u_max,
                       double thickness) {
  return Folding(sweeps, heights, u_max, thickness, sweeps.size()).trace();
}

Overlap overlap_with_material(std::vector<Sweep> before, const std::vector<Sweep>& sweeps,
                              const SweepHeights& heights, double u_max, double thickness) {
  const std::size_t idle = before.size();
  before.insert(before.end(), sweeps.begin(), sweeps.end());
  return Folding(before, heights, u_max, thickness, idle).overlap();
}

}  // namespace ovolo
