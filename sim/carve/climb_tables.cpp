#include "sim/carve/climb_tables.hpp"

#include <cmath>
#include <limits>
#include <map>
#include <numbers>

#include "sim/parallel.hpp"

namespace ovolo {
namespace {

// A corner of the profile at r1 lies farther back than the round of a climbing path's high end by no more
// than the chord between their distances, times a share on circles; the climb over that way is all it gains.
// Returns the distance from the end up to which the round is lower by more than that.
double past_from(const Profile& profile, double r1, double h1, double radius, double slope) {
  double longer = 1;
  if (radius > 0) {
    if (radius < 2 * r1) return 0;
    longer = 1.6;  // within a quarter of the radius: sqrt(2) for the nearer chord, 1.1 for its arc
  }
  constexpr int kSteps = 64;
  for (int k = 0; k < kSteps; ++k) {
    const double d = r1 * k / kSteps, next = r1 * (k + 1) / kSteps;
    if (h1 - profile.height(next) <= longer * slope * std::sqrt((r1 - d) * (r1 + d))) return d;
  }
  return r1;
}

}  // namespace

// Curves are shared by climbs that are alike. A place that is lowest for a slope and a radius off by a share
// d is off by about as much, and too high by d^2 only: rounding them stays far below what floats hold, and is
// made coarser where there would be too many tables. The gain tables, first order in d, share rounding errors
// alone; what they cost to work out they must save in cells.
ClimbTables::ClimbTables(const Job& job, const std::vector<Cut>& cuts, const std::vector<FloatProfile>& bits,
                         double cell) {
  constexpr double kRounding = 1e-8, kFine = 1e-4;
  constexpr std::size_t kMostKinds = 2000;
  constexpr double kZonesWorth = 1e6;  // cells
  struct Kind {
    std::uint32_t bit;
    std::int64_t slope, radius;  // logarithms, in steps
    auto operator<=>(const Kind&) const = default;
  };
  constexpr std::int64_t kStraight = std::numeric_limits<std::int64_t>::min();
  const auto kind_of = [&](std::size_t i, double step) {
    const Move& move = cuts[i].move;
    const double slope = std::abs(move.z1 - move.z0) / cuts[i].move.path.length();
    return Kind{move.bit, std::llround(std::log(slope) / step),
                move.path.is_arc() ? std::llround(std::log(move.path.radius) / step) : kStraight};
  };
  // Numbers the kinds of all climbing cuts.
  const auto number = [&](double step, std::vector<std::int32_t>& of, std::map<Kind, std::int32_t>& kinds) {
    for (std::size_t i = 0; i < cuts.size(); ++i) {
      const Move& move = cuts[i].move;
      if (move.level() || !(cuts[i].move.path.length() > 0) || move.region >= 0) continue;
      of[i] = kinds.try_emplace(kind_of(i, step), static_cast<std::int32_t>(kinds.size())).first->second;
    }
  };
  climb_of_.assign(cuts.size(), -1);
  zones_of_.assign(cuts.size(), -1);
  std::map<Kind, std::int32_t> alike, same;
  double step = kFine;
  for (number(step, climb_of_, alike); alike.size() > kMostKinds; number(step, climb_of_, alike)) {
    alike.clear();
    step *= 4;
  }
  climbs_.resize(alike.size());
  std::vector<Kind> keys(alike.size());
  for (const auto& [kind, k] : alike) keys[static_cast<std::size_t>(k)] = kind;
  parallel_for(keys.size(), [&](std::size_t k) {
    const auto& [bit, slope, radius] = keys[k];
    Climb& climb = climbs_[k];
    const double like_radius = radius == kStraight ? 0 : std::exp(static_cast<double>(radius) * step);
    const double like_slope = std::exp(static_cast<double>(slope) * step);
    const auto& pieces = job.bits[bit].profile.pieces();
    std::vector<std::vector<ClimbBack>> curved(pieces.size());
    std::size_t count = 0;
    for (std::size_t p = 0; p < pieces.size(); ++p) {
      if (pieces[p].side != 0) curved[p] = climb_backs(pieces[p], like_radius, like_slope);
      count += curved[p].size();
    }
    climb.backs.reserve(count);  // places point into them
    // On a circle the way along it is longer than the straight one, by half a turn of it at most.
    const bool circular = like_radius > 0;
    const double longer = circular ? 0.5 * std::numbers::pi : 1;
    for (std::size_t p = 0; p < pieces.size(); ++p) {
      const double r1 = pieces[p].r1;
      ClimbPlace place;
      place.piece = bits[bit].pieces[p];
      place.r0 = static_cast<float>(pieces[p].r0);
      place.h1 = static_cast<float>(pieces[p].h1);
      for (const ClimbBack& back : curved[p]) {
        climb.backs.push_back(back);
        place.curved = &climb.backs.back().back;
        place.from = place.curved->from;
        place.to = place.curved->to;
        place.most_back = back.most_back;
        climb.places.push_back(place);
      }
      place.curved = nullptr;
      place.from = circular ? -static_cast<float>(std::min(r1, like_radius)) : 0;
      place.to = place.piece.r1;
      place.most_back = static_cast<float>(longer * r1 + 1e-3);
      if (place.piece.kind == FloatPiece::Kind::cone) climb.places.push_back(place);
      place.end = true;
      place.past_from =
          static_cast<float>(past_from(job.bits[bit].profile, r1, pieces[p].h1, like_radius, like_slope));
      climb.places.push_back(place);
    }
  });

  number(kRounding, zones_of_, same);
  std::vector<double> cells(same.size(), 0);
  std::vector<std::size_t> example(same.size(), 0);
  for (std::size_t i = 0; i < cuts.size(); ++i) {
    if (zones_of_[i] < 0) continue;
    const std::size_t k = static_cast<std::size_t>(zones_of_[i]);
    cells[k] += cuts[i].move.path.length() * 2 * bits[cuts[i].move.bit].reach / (cell * cell);
    example[k] = i;
  }
  zones_.resize(same.size());
  parallel_for(same.size(), [&](std::size_t k) {
    if (cells[k] < kZonesWorth) return;
    const Move& move = cuts[example[k]].move;
    const double slope = std::abs(move.z1 - move.z0) / cuts[example[k]].move.path.length();
    zones_[k] = climb_zones(job.bits[move.bit].profile, move.path.radius, slope);
  });
}

}  // namespace ovolo
