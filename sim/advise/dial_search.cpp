#include "sim/advise/dial_search.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "sim/parallel.hpp"

namespace ovolo {
namespace {

constexpr double kGougeWeight = 1000;  // of a section cut too much against one left standing

struct Trial {
  Setting at;
  double value = 0;  // logarithm of the chance of failure
  double room = 0;   // of equals the one with the most room wins
  bool before(const Trial& other) const {
    return value < other.value - 1e-12 || (value <= other.value + 1e-12 && room > other.room);
  }
};

// The least room on any side, in standard deviations; negative outside the window.
double room_of(const WishWindow& window, WishSet set, Setting s, double depth_unit, double offset_unit) {
  if (!window.holds(s.depth, s.offset, set)) return -1;
  const double d =
      std::min(window.deeper(s.depth, s.offset).distance, window.shallower(s.depth, s.offset).distance);
  const double o =
      std::min(window.outward(s.depth, s.offset).distance, window.inward(s.depth, s.offset).distance);
  return std::min(d / depth_unit, o / offset_unit);
}

// Ends when the simplex is no larger than `near`, mm.
Trial simplex_search(const auto& trial_at, const Trial& start, double depth_step, double offset_step,
                     double near) {
  std::array<Trial, 3> t{start, trial_at({start.at.depth + depth_step, start.at.offset}),
                         trial_at({start.at.depth, start.at.offset + offset_step})};
  const auto mix = [](Setting a, Setting b, double s) {
    return Setting{a.depth + s * (b.depth - a.depth), a.offset + s * (b.offset - a.offset)};
  };
  for (int i = 0; i < 200; ++i) {
    std::stable_sort(t.begin(), t.end(), [](const Trial& a, const Trial& b) { return a.before(b); });
    const double spread = std::abs(t[2].at.depth - t[0].at.depth) +
                          std::abs(t[2].at.offset - t[0].at.offset) +
                          std::abs(t[1].at.depth - t[0].at.depth) + std::abs(t[1].at.offset - t[0].at.offset);
    if (spread < near) break;
    const Setting middle = mix(t[0].at, t[1].at, 0.5);
    const Trial mirrored = trial_at(mix(t[2].at, middle, 2));
    if (mirrored.before(t[0])) {
      const Trial further = trial_at(mix(t[2].at, middle, 3));
      t[2] = further.before(mirrored) ? further : mirrored;
    } else if (mirrored.before(t[1])) {
      t[2] = mirrored;
    } else {
      const Trial nearer = trial_at(mix(t[2].at, middle, mirrored.before(t[2]) ? 1.5 : 0.5));
      if (nearer.before(t[2])) {
        t[2] = nearer;
      } else {
        for (std::size_t k = 1; k < t.size(); ++k) t[k] = trial_at(mix(t[0].at, t[k].at, 0.5));
      }
    }
  }
  std::stable_sort(t.begin(), t.end(), [](const Trial& a, const Trial& b) { return a.before(b); });
  return t[0];
}

}  // namespace

Setting least_failure(const EdgeOdds& odds, const WishWindow& window, WishSet set, const SizeMiss& size) {
  const double depth_unit = std::max(odds.depth_sigma(), 1e-3),
               offset_unit = std::max(odds.offset_sigma(), 1e-3);
  const auto trial_at = [&](Setting s) {
    const double miss = size ? size(s) : 0;
    // A setting of the wrong size comes after every one of the right size.
    if (miss > kSizeAllowed) return Trial{s, 1 + miss, 0};
    Trial t{s, std::log(std::max(1e-300, odds.failure(s.depth, s.offset, set))), 0};
    t.room = room_of(window, set, s, depth_unit, offset_unit);
    return t;
  };
  std::vector<Setting> seeds;
  const auto grid = [&](double d0, double d1, double o0, double o1, int n) {
    for (int i = 0; i <= n; ++i)
      for (int k = 0; k <= n; ++k) seeds.push_back({d0 + (d1 - d0) * i / n, o0 + (o1 - o0) * k / n});
  };
  const auto all_depths = window.depths(set), all_offsets = window.offsets(set);
  for (const Span& d : all_depths)
    for (const Span& o : all_offsets) grid(d.lo, d.hi, o.lo, o.hi, 8);
  // Beyond the window too: where no setting meets all wishes, errors may still.
  const auto faces = window.depths(WishSet::only(Wish::face_break)),
             lips = window.depths(WishSet::only(Wish::lip));
  const auto bands = window.offsets(WishSet::only(Wish::band).with(Wish::foot)),
             walls = window.offsets(WishSet::only(Wish::wall_break).with(Wish::cut));
  const double d0 = faces.empty() ? 0 : faces.front().lo,
               d1 = lips.empty() ? window.deepest() : lips.back().hi;
  const double reach = window.profile().cutting_radius();
  const double o0 = bands.empty() ? -reach : bands.front().lo, o1 = walls.empty() ? reach : walls.back().hi;
  grid(std::max(0.0, std::min(d0, d1) - 3 * depth_unit), std::max(d0, d1) + 3 * depth_unit,
       std::min(o0, o1) - 3 * offset_unit, std::max(o0, o1) + 3 * offset_unit, 10);

  std::vector<Trial> trials(seeds.size());
  parallel_for(seeds.size(), [&](std::size_t i) { trials[i] = trial_at(seeds[i]); });
  std::stable_sort(trials.begin(), trials.end(), [](const Trial& a, const Trial& b) { return a.before(b); });
  Trial best = trials.front();
  trials.resize(std::min<std::size_t>(3, trials.size()));
  parallel_for(trials.size(), [&](std::size_t i) {
    trials[i] = simplex_search(trial_at, trials[i], depth_unit, offset_unit, 1e-3);
    // Anew from there, to a tenth of what settings are told to.
    trials[i] = simplex_search(trial_at, trials[i], depth_unit / 10, offset_unit / 10, 1e-5);
  });
  for (const Trial& found : trials)
    if (found.before(best)) best = found;
  return best.at;
}

Setting least_missing(const std::function<double(Setting)>& missing, const EdgeOdds& odds, WishSet set,
                      Setting best, double tie) {
  const double allowed = odds.failure(best.depth, best.offset, set) + tie;
  const auto tied = [&](Setting s) { return odds.failure(s.depth, s.offset, set) <= allowed; };
  // Compass search: as far as the tie reaches, in steps that shrink once no direction helps.
  const double depth_unit = std::max(odds.depth_sigma(), 1e-3),
               offset_unit = std::max(odds.offset_sigma(), 1e-3);
  Setting at = best;
  double least = missing(at);
  constexpr int kDirections = 16;
  for (double step = 4; step > 1e-3;) {
    bool moved = false;
    for (int i = 0; i < kDirections && least > 0; ++i) {
      const double angle = 2 * std::numbers::pi * i / kDirections;
      const Setting s{at.depth + step * depth_unit * std::cos(angle),
                      at.offset + step * offset_unit * std::sin(angle)};
      if (s.depth <= 0) continue;
      const double m = missing(s);
      if (m >= least - 1e-9 || !tied(s)) continue;
      at = s;
      least = m;
      moved = true;
      break;
    }
    if (!moved) step /= 2;
  }
  return at;
}

Setting nearest_form(const EdgeCase& edge, const EdgeOdds& odds, WishSet set, Setting best, double tie,
                     const SizeMiss& size) {
  const auto missing = [&](Setting s) {
    if (size) return size(s);
    const SectionMeasures m = edge.measure(s.depth, s.offset);
    return kGougeWeight * m.gouge + m.excess;
  };
  return least_missing(missing, odds, set, best, tie);
}

}  // namespace ovolo
