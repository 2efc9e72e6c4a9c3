#pragma once
#include <vector>

#include "sim/bit/body.hpp"
#include "sim/measure/features.hpp"
#include "sim/measure/section.hpp"
#include "sim/path/swept_ranges.hpp"

namespace ovolo {

/// What one move takes out of a section plane: the part of a bit's body swept along one feature. At u it is
/// all z with body.width(z - tip) > feature.distance(u), for the tip at `feature.z` and all heights up to
/// `rise` above it.
struct Sweep {
  Feature feature;
  const BitBody* body = nullptr;
  double rise = 0;      ///< of a plunge
  bool turned = false;  ///< heights are those of a sheet that lies face down
};

/// Heights along a ray that a closed form does not give.
class SweepHeights {
 public:
  virtual ~SweepHeights() = default;
  /// What a sweep along a sloped move takes out at u, in the heights of its set-up: disjoint, rising.
  virtual void sloped(const Sweep& sweep, double u, std::vector<HeightRange>& out) const = 0;
  /// What the sheet's own shape adds to a move's height at u.
  virtual double shift(std::uint32_t move, double u) const = 0;
  /// False when `shift` is 0 everywhere for this move.
  virtual bool shifted(std::uint32_t move) const = 0;
};

/// The folded section: the sheet [0, u_max] x [-thickness, 0] without all sweeps, of that the connected part
/// with the greatest area that reaches u_max, traced as Section tells. Only move, face and shape of the
/// pieces are filled in.
Section folded_section(const std::vector<Sweep>& sweeps, const SweepHeights& heights, double u_max,
                       double thickness);

/// Where `sweeps` meet material that `before` leaves: for the necks and shanks of bits. Contact of up to 1 um
/// is none.
struct Overlap {
  double area = 0;   ///< mm^2, to a few percent
  double width = 0;  ///< mm of u on which they do
  Vec2 at;           ///< the middle of the highest place, (u, z)
};
Overlap overlap_with_material(std::vector<Sweep> before, const std::vector<Sweep>& sweeps,
                              const SweepHeights& heights, double u_max, double thickness);

}  // namespace ovolo
