#pragma once
#include <limits>
#include <vector>

#include "sim/advise/uneven_face.hpp"
#include "sim/advise/wish.hpp"
#include "sim/bit/profile.hpp"
#include "sim/job.hpp"

namespace ovolo {

/// A stretch of one setting within the wishes, mm, and which wish breaks beyond either end.
struct Span {
  double lo = 0, hi = 0;
  Wish below = Wish::limit, above = Wish::limit;
};

/// Which depths and offsets of a level pass along a straight edge meet the wishes, for one bit as it is.
/// Along a straight edge (and any arc about the same centre) the lip and the face break depend on the depth
/// alone, the band and the wall break on the offset alone; what shows of a layer depends on both, and so does
/// whether the bit reaches the part. Ends are solved by bisection on sections and their measures, to 1e-11
/// mm.
class WishWindow {
 public:
  /// `profile` must outlive it. `deepest`: depths are looked at up to here, mm. On a face that is uneven
  /// along the edge the window holds the depths that do everywhere on it.
  WishWindow(const Profile& profile, const WantedForm& wanted, const Stock& stock, const Wishes& wishes,
             double deepest, UnevenFace face = {});

  /// Depths within those of lip and face break that are in the set; in order, apart.
  std::vector<Span> depths(WishSet set = WishSet::all()) const;
  /// Offsets within those of band, wall break and foot that are in the set; in order, apart.
  std::vector<Span> offsets(WishSet set = WishSet::all()) const;
  /// The greatest depth that keeps every layer wished hidden covered, at an offset; +inf when none is wished.
  /// To 1 um: the measures forgive that much of a layer.
  double hidden_depth(double offset) const;
  /// The least depth at which the bit reaches the part.
  double cut_depth(double offset) const;
  bool holds(double depth, double offset, WishSet set = WishSet::all()) const;
  /// Is there any setting that meets all of the set?
  bool feasible(WishSet set = WishSet::all()) const;

  /// How far one can go from a setting within the window before the first wish breaks, the other setting
  /// held.
  struct Room {
    double distance = 0;
    Wish breaks = Wish::limit;
  };
  Room deeper(double depth, double offset) const;
  Room shallower(double depth, double offset) const;
  Room outward(double depth, double offset) const;  ///< the axis away from the part
  Room inward(double depth, double offset) const;

  const Profile& profile() const { return *profile_; }
  double deepest() const { return deepest_; }
  /// Top of the shallowest layer wished hidden, mm below the face at its highest; +inf when none is.
  double hidden_top() const { return hidden_top_; }

 private:
  double height_at(double offset) const;
  const Profile* profile_;
  UnevenFace uneven_;
  double deepest_, shallowest_ = 0;
  double hidden_top_ = std::numeric_limits<double>::infinity();
  std::vector<Span> lip_, face_, band_, wall_, foot_;
};

/// What lies within both; both in order.
std::vector<Span> intersect(const std::vector<Span>& a, const std::vector<Span>& b);

}  // namespace ovolo
