#pragma once
#include <array>
#include <cstddef>
#include <map>
#include <optional>

#include "io/program/place.hpp"

namespace ovolo::io {

/// A row of the tool table, mm. A length is from the spindle's gauge line to the tip.
struct ProgramTool {
  std::optional<double> length;
  std::optional<double>
      diameter;  ///< for G41 and G42; may be negative (a difference from the programmed tool)
};

/// Nothing a program says may hang the reader or eat memory.
struct ProgramLimits {
  std::size_t bytes = std::size_t{64} << 20;  ///< of the file
  std::size_t motions = 2'000'000;            ///< straight lines that stand for vertical arcs included
};

/// Parameters that the report keeps for homes, offsets and coordinate systems.
constexpr bool is_machine_parameter(int index) { return index >= 5161 && index <= 5386; }

/// What a program cannot say itself.
struct ProgramOptions {
  bool inch = false;                 ///< units in force before the program's own G20 or G21
  bool skip_deleted = false;         ///< the block delete switch: lines that begin with a slash are left out
  std::map<int, ProgramTool> tools;  ///< by number
  int first_tool = 0;                ///< in the spindle when the program starts; 0: none
  /// Where the zeros of G54 to G59.3 lie in machine coordinates, mm. Without G54's nothing that names machine
  /// coordinates (G10, G28, G30, G53, parameters 5161 to 5186 and 5221 to 5383) can be placed.
  std::array<std::optional<Point3>, 9> systems;
  /// Where the spindle stands when the program starts, mm from G54's zero; the tip, or the gauge line where
  /// the tool's length is told. Without it the program must first go to a place of its own by rapids.
  std::optional<Point3> start;
  std::map<int, double> parameters;  ///< values of plain parameters when it starts
  Point3 home{}, second_home{};      ///< of G28 and G30, machine coordinates, mm
  ProgramLimits limits;
};

}  // namespace ovolo::io
