#pragma once
#include "sim/shop/engagement.hpp"
#include "sim/shop/tip_assumptions.hpp"

namespace ovolo {

/// Bending of the bit where it is weakest.
struct TipLoad {
  double force = 0;   ///< N, sideways, of one flute's thickest chip over its whole contact
  double stress = 0;  ///< N/mm^2 at the weakest height
  double height = 0;  ///< mm above the tip, where that is
  double index = 0;   ///< 100 * stress / strength: for comparing strategies, never a promise
};

/// One flute presses sideways with shock * specific_energy * advance * chip on every mm of height in contact
/// (N); each height of the bit is a solid round of core * radius, held above and bent by what lies between it
/// and the tip. Looked at up to `cutting_length` (mm), or to the highest contact where that is higher;
/// without wear or stick-out above it (derived from those assumptions). `advance` is the thickest chip's, mm;
/// specific_energy N/mm^2.
TipLoad tip_load(const Profile& profile, const Engagement& engagement, double advance, double specific_energy,
                 const TipAssumptions& assumptions = {}, double cutting_length = 0);

/// Is the tip so thin that plunging straight down is asking for trouble: under 1 mm across, 0.5 mm up (a
/// guess).
bool slender_tip(const Profile& profile);

}  // namespace ovolo
