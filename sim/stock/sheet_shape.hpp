#pragma once
#include <cstdint>
#include <vector>

#include "sim/geometry/vec.hpp"

namespace ovolo {

/// How the sheet on this machine differs from a flat one of nominal thickness. Lengths mm, heights upwards.
struct SheetShape {
  struct Reading {
    Vec2 at;
    double value = 0;
  };
  std::vector<Reading> thickness;   ///< of the sheet, as read; 8 or more points (EN 324-1), or none
  std::vector<Reading> height;      ///< of the face above the nominal one, as probed; 8 or more, or none
  std::vector<Reading> spoilboard;  ///< of the board's top above its own nominal; 3 or more, or none
  Vec2 tilt;                        ///< how much the face rises over the sheet's whole width and height
  double bow = 0;                   ///< height of the middle of the sheet above its ends; negative: hollow
  double bow_direction = 0;         ///< radians from X: the direction along which the sheet is bowed

  /// A place that comes up while it is cut: highest at `at`, nothing from `radius` on.
  struct Lift {
    Vec2 at;
    double height = 0;
    double radius = 0;
    std::int32_t operation = -1;  ///< from this operation on; -1 from the start
    std::uint32_t pass = 0;       ///< and from this pass of it on, from 0
    /// Has it come up when this pass of this operation is cut?
    bool up_at(std::uint32_t during, std::uint32_t in_pass) const {
      return operation < static_cast<std::int32_t>(during) ||
             (operation == static_cast<std::int32_t>(during) && pass <= in_pass);
    }
  };
  std::vector<Lift> lifts;
  Vec2 zero;  ///< where Z zero was set

  bool flat() const {
    return thickness.empty() && height.empty() && spoilboard.empty() && tilt == Vec2{} && bow == 0 &&
           lifts.empty();
  }
};

}  // namespace ovolo
