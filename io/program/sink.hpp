#pragma once
#include <optional>
#include <string_view>

#include "io/program/place.hpp"

namespace ovolo::io {

/// What the spindle does; oriented: stopped at a set angle, so that a one-sided cutter can pass a bore.
enum class Turning : std::uint8_t { stopped, clockwise, counterclockwise, oriented };

/// The circular part of a motion. The third axis of a helix runs linearly with the angle.
struct ProgramArc {
  Plane plane = Plane::xy;
  Point3 centre{};  ///< mm; its third coordinate is the start's
  double sweep =
      0;  ///< radians, counter-clockwise positive seen from the third axis' positive end; |sweep| <= 2 pi
};

/// One straight or circular motion of the tool's tip, mm from where G54's zero lies when the program starts.
struct TipMotion {
  Point3 start{}, end{};
  std::optional<ProgramArc> arc;
  bool rapid = false;
  double feed = 0;  ///< mm/min along the path; 0 for rapids
  Turning turning = Turning::stopped;
  double speed = 0;  ///< rpm
  int tool = 0;      ///< number of the tool in the spindle, 0 when there is none
  LineColumn at;
};

/// Why a program stops: M0, M1, M60, M2, M30, or G88's retract by hand.
enum class ProgramStop : std::uint8_t { stop, optional_stop, pallet, end, end_rewind, hand_retract };

/// What a program makes the machine do, in order. Members may throw ProgramError for what they cannot hold.
class ProgramSink {
 public:
  virtual ~ProgramSink() = default;
  virtual void motion(const TipMotion& motion) = 0;
  /// The tool now in the spindle; 0 leaves it empty.
  virtual void tool_change(int tool, LineColumn at) = 0;
  virtual void dwell(double seconds, LineColumn at) = 0;
  virtual void message(std::string_view text, LineColumn at) = 0;
  virtual void stop(ProgramStop kind, LineColumn at) = 0;
};

}  // namespace ovolo::io
