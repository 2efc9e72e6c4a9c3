#pragma once
#include <cstdint>
#include <optional>
#include <vector>

#include "sim/measure/edge.hpp"
#include "sim/path/plan.hpp"
#include "sim/shop/material.hpp"
#include "sim/shop/tip_load.hpp"

namespace ovolo {

/// A figure along a pass; the mean is weighted by length, `worst_at` is where the largest is met.
struct AlongPass {
  double mean = 0, max = 0;
  Vec2 worst_at;
};

/// Loads at one place of a pass.
struct LoadPlace {
  double s = 0;  ///< mm of the pass's way; its rapids and plunges are no part of it
  Vec2 at;
  double section = 0;                       ///< mm^2
  double rate = 0;                          ///< mm^3/s
  double chip_load = 0;                     ///< mm, advance per tooth
  double width = 0, depth = 0;              ///< mm in contact
  double inner_speed = 0, outer_speed = 0;  ///< m/s at the smallest and the largest radius in contact
  double power = 0;                         ///< W, with the likely specific energy, as is ...
  double index = 0;                         ///< ... the tip's
};

/// What one pass of one operation asks of bit and machine.
struct PassLoad {
  std::uint32_t operation = 0, pass = 0, bit = 0;
  double length = 0;     ///< mm of path in it (rapids and plunges apart)
  AlongPass section;     ///< mm^2 removed across the path
  AlongPass rate;        ///< mm^3/s
  double volume = 0;     ///< mm^3 it takes off the sheet, ends, corners and plunges included
  double chip_load = 0;  ///< mm, largest advance per tooth
  double high_chip = 0;  ///< mm, the same for the flute that stands highest with the runout
  double width = 0;      ///< mm across the path in contact, the largest
  double depth = 0;      ///< mm of the bit's height in contact, the largest
  double inner_speed = 0, outer_speed = 0;  ///< m/s at the smallest and the largest radius ever in contact
  Ranged power;                             ///< W at the cut, where the rate is largest
  TipLoad tip;                              ///< the worst, with the likely specific energy
  Ranged index;                             ///< of the tip, over the range of the specific energy
  Vec2 tip_at;
  double plunge = 0;             ///< mm plunged straight down into material, the deepest
  double spindle = 0, feed = 0;  ///< rpm and mm/min, the largest in it
  std::vector<LoadPlace> along;  ///< in the order they are come to
};

struct LoadOptions {
  double runout = 0.02;               ///< mm, total indicator reading; a guess
  double spacing = 5;                 ///< mm between the places looked at, ...
  int most_places = 200;              ///< ... but no more than so many in a pass
  std::optional<std::uint32_t> only;  ///< the passes of this operation alone, their volumes left out (0)
  TipAssumptions tip;
};

/// Loads of every pass in the order they are first made, from what all earlier moves of the set-up left,
/// those of the same pass included. A cleared area counts by its rings. Sections are looked at along the way
/// and where a pass runs into a corner. Of an undercut bit what the same pass cut within the last two and a
/// half cutting radii of its way is taken as not yet cut, since the bit is still in it.
std::vector<PassLoad> pass_loads(const Job& job, const Plan& plan, const Material& material,
                                 const LoadOptions& options = {});

/// The loads' warnings: spindle above the diameter's usual limit or the bit's mark, chip load outside the
/// usual range, a slender tip plunged or bent hard; each with the source of its limit.
std::vector<Warning> load_warnings(const Job& job, const std::vector<PassLoad>& loads,
                                   const Material& material);

}  // namespace ovolo
