#pragma once

namespace ovolo {

/// What the tip's index takes for granted.
struct TipAssumptions {
  double core = 0.5;           ///< solid core between the flutes, as a part of the radius; a guess
  double shock = 3;            ///< force of a flute that strikes, beside the even cut's; a guess
  double strength = 2000;      ///< N/mm^2 at which the index is 100 (carbide in bending); a guess
  double least_radius = 0.05;  ///< mm: thinner ends are left out, they are ground or broken away
};

}  // namespace ovolo
