#include "sim/shop/tip_load.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/shop/radius_at.hpp"

namespace ovolo {
namespace {

constexpr int kHeights = 200;

}  // namespace

bool slender_tip(const Profile& profile) { return 2 * radius_at(profile, 0.5) < 1; }

TipLoad tip_load(const Profile& profile, const Engagement& engagement, double advance, double specific_energy,
                 const TipAssumptions& assumptions, double cutting_length) {
  TipLoad load;
  if (engagement.slices.empty()) return load;
  const double step = 2 * engagement.slices.front().height;
  const double top = std::max(cutting_length, engagement.slices.back().height + step / 2);
  // Force of all slices below each one, and its moment about the tip.
  std::vector<double> forces, below{0}, turning{0};
  for (std::size_t i = 0; i < engagement.slices.size(); ++i) {
    const ContactSlice& s = engagement.slices[i];
    forces.push_back(assumptions.shock * specific_energy * advance * s.chip * step);
    below.push_back(below.back() + forces[i]);
    turning.push_back(turning.back() + forces[i] * s.height);
  }
  load.force = below.back();
  for (int k = 1; k <= kHeights; ++k) {
    // Closer together near the tip, where the bit is thin.
    const double share = static_cast<double>(k) / kHeights;
    const double height = top * share * share;
    const std::size_t whole = std::min(forces.size(), static_cast<std::size_t>(height / step));
    double moment = below[whole] * height - turning[whole];
    if (whole < forces.size()) {  // the part of a slice that lies below the height
      const double part = height - static_cast<double>(whole) * step;
      moment += forces[whole] * part / step * part / 2;
    }
    const double radius = radius_at(profile, height);
    if (radius < assumptions.least_radius) continue;
    const double core = assumptions.core * radius;
    const double stress = 4 * moment / (std::numbers::pi * core * core * core);
    if (stress > load.stress) {
      load.stress = stress;
      load.height = height;
    }
  }
  load.index = 100 * load.stress / assumptions.strength;
  return load;
}

}  // namespace ovolo
