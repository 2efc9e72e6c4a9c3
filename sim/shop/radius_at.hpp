#pragma once
#include "sim/bit/profile.hpp"

namespace ovolo {

/// The bit's radius at a height above the tip (mm), the smallest where its outline passes the height more
/// than once; 0 at the very point, and that of the end of the outline above it.
double radius_at(const Profile& profile, double height);

}  // namespace ovolo
