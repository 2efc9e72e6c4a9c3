#include "sim/carve/climb_table.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "sim/path/climb.hpp"

namespace ovolo {
namespace {

Beside beside(double y, double radius) {
  return radius > 0 ? Beside::arc(std::max(0.0, radius + y), radius) : Beside::line(std::abs(y));
}

struct Gain {
  double gain, back;
};

Gain gain_at(const Profile& profile, double radius, double slope, double y) {
  const double most = radius > 0 ? std::numbers::pi * radius : profile.cutting_radius();
  const Lowest lowest = lowest_behind(profile, beside(y, radius), slope, 0, most);
  return {profile.height(std::abs(y)) - lowest.height, lowest.back};
}

}  // namespace

GainTable gain_table(const Profile& profile, double radius, double slope) {
  constexpr double kTolerance = 2e-5;  // mm
  constexpr int kBins = 1024;          // over the bit's reach to one side
  const double reach = profile.cutting_radius(), inside = std::min(reach, radius);
  GainTable table;
  table.first = static_cast<float>(-inside);
  table.bins = radius > 0 ? 2 * kBins : kBins;
  table.per_mm = static_cast<float>(table.bins / (reach + inside));
  const auto lateral = [&](double k) {
    return static_cast<double>(table.first) + k / static_cast<double>(table.per_mm);
  };
  Gain left = gain_at(profile, radius, slope, lateral(0));
  for (int k = 0; k < table.bins; ++k) {
    const Gain right = gain_at(profile, radius, slope, lateral(k + 1));
    bool good = true;  // NaN, beyond the bit, is not
    double back = std::max(left.back, right.back);
    for (const double t : {0.25, 0.5, 0.75}) {
      const Gain here = gain_at(profile, radius, slope, lateral(k + t));
      good = good && std::abs(left.gain + (right.gain - left.gain) * t - here.gain) <= kTolerance;
      back = std::max(back, here.back);
    }
    table.base.push_back(good ? static_cast<float>(left.gain) : std::numeric_limits<float>::quiet_NaN());
    table.step.push_back(good ? static_cast<float>(right.gain - left.gain) : 0);
    table.back.push_back(static_cast<float>(back * 1.001 + 1e-4));
    left = right;
  }
  return table;
}

BackTable back_table(const Profile::Piece& piece, double radius, double slope) {
  BackTable table;
  for (std::size_t side = 0; side < (radius > 0 ? 2U : 1U); ++side) {
    // The nearest place on the piece at which the sweep is lower than on either side; negative when there is
    // none.
    const auto lowest = [&](double y) {
      const Beside from = beside(side == 0 ? y : -y, radius);
      const double lo = std::max(piece.r0, from.y()), hi = std::min(piece.r1, from.farthest());
      if (!(lo < hi)) return -1.0;
      const auto height = [&](double r) { return piece.height(r) - slope * from.back(r); };
      Distances places;
      places.add(lo);
      for (const double r : stationary_distances(piece, from, slope, lo, hi)) places.add(r);
      places.add(hi);
      for (int i = 1; i + 1 < places.count; ++i) {
        const double* r = places.begin() + i;
        if (height(*r) <= height(r[-1]) && height(*r) <= height(r[1])) return from.back(*r);
      }
      return -1.0;
    };
    // The stretch of y that has one: found on a raster, its ends by halving.
    constexpr int kRaster = 256;
    const double most = side == 0 ? piece.r1 : std::min(piece.r1, radius);
    int first = -1, last = -1;
    for (int k = 0; k <= kRaster; ++k) {
      if (lowest(most * k / kRaster) < 0) continue;
      if (first < 0) first = k;
      last = k;
    }
    if (first < 0) {
      table.back.resize(table.back.size() + 2 * (BackTable::kHalf + 1), 0);
      continue;
    }
    const auto edge = [&](double with, double without) {
      for (int i = 0; i < 50; ++i) {
        const double middle = 0.5 * (with + without);
        (lowest(middle) < 0 ? without : with) = middle;
      }
      return with;
    };
    const double from = first == 0 ? 0 : edge(most * first / kRaster, most * (first - 1) / kRaster);
    const double to = last == kRaster ? most : edge(most * last / kRaster, most * (last + 1) / kRaster);
    const double root = std::sqrt(0.5 * (to - from));
    table.from[side] = static_cast<float>(from);
    table.to[side] = static_cast<float>(to);
    table.scale[side] = root > 0 ? static_cast<float>(BackTable::kHalf / root) : 0;
    for (const bool second : {false, true}) {
      for (int k = 0; k <= BackTable::kHalf; ++k) {
        const double in = root * k / BackTable::kHalf;
        const double y = std::clamp(second ? to - in * in : from + in * in, from, to);
        table.back.push_back(static_cast<float>(std::max(0.0, lowest(y))));
      }
    }
  }
  return table;
}

}  // namespace ovolo
