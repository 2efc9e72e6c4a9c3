#pragma once
#include "sim/geometry/vec.hpp"

namespace ovolo {

/// How far the bit's tip ends up above where the program says, at a place on the sheet, mm: a sheet that is
/// thick, bowed or lifting while it is cut makes it negative. The flat sheet gives 0.
class Surface {
 public:
  double delta(Vec2) const { return 0; }
  bool flat() const { return true; }
};

}  // namespace ovolo
