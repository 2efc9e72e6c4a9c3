#pragma once
#include <functional>
#include <vector>

#include "sim/bit/profile.hpp"

namespace ovolo {

/// Height (mm) of the material's surface at a place before the bit: v mm to the left of the axis and `ahead`
/// mm in front of it. -infinity: none there.
using SurfaceAhead = std::function<double(double v, double ahead)>;

/// What the bit meets at one height above its tip.
struct ContactSlice {
  double height = 0;  ///< mm above the tip
  double radius = 0;  ///< mm, the bit's there
  double width = 0;   ///< mm of material across the path that it cuts at that height
  double chip = 0;    ///< the thickest chip as a part of the advance: the largest cosine from the feed's
                      ///< direction, 0 to 1
};

/// One level move's contact with the material.
struct Engagement {
  double area = 0;                   ///< mm^2 across the path: mm^3 removed per mm that the axis goes on
  double width = 0;                  ///< mm across the path in contact
  double depth = 0;                  ///< mm of the bit's height in contact
  double inner = 0, outer = 0;       ///< mm, smallest and largest radius in contact
  std::vector<ContactSlice> slices;  ///< from the tip up, evenly spaced, to the highest contact
};

struct EngagementOptions {
  int columns = 128;  ///< places across half the bit
  int slices = 48;
  double bottom = -1e300;  ///< mm, the sheet's lower face: what lies below is not counted
};

/// Contact of a bit whose tip runs at `tip_z` through material up to `before`. At each height the bit takes
/// what stands before the front half of its circle there; of an undercut bit, what stands in the plane
/// across the path. Summed over columns across the bit, each taken in its middle; widths are those of whole
/// columns.
Engagement engagement(const Profile& profile, double tip_z, const SurfaceAhead& before,
                      const EngagementOptions& options = {});

}  // namespace ovolo
