#pragma once
#include <array>
#include <cstdint>
#include <limits>
#include <numbers>

#include "sim/carve/cell_task.hpp"
#include "sim/carve/tile_place.hpp"
#include "sim/path/move.hpp"

namespace ovolo {

/// A path that climbs, told by the way from its low end, mm.
struct ClimbingPath {
  ClimbingPath(const Move& move);
  bool circular() const { return path.is_arc(); }
  /// The line across the path at that way: a place on it and the direction of climb. On a circle it runs
  /// through the centre.
  Vec2 at(double along) const { return circular() ? path.centre : end[low] + along * up; }
  Vec2 climb_at(double along) const {
    return circular() ? sense * perp(unit(angle + sense * along / path.radius)) : up;
  }
  /// Stretches of the path are told by two such lines up to this length.
  double half_turn() const {
    return circular() ? std::numbers::pi * path.radius : std::numeric_limits<double>::infinity();
  }

  const Segment& path;
  double length;
  std::size_t low, high;    ///< 0: the path's start, 1: its end
  std::array<Vec2, 2> end;  ///< start and end
  double z_low, z_high, slope;
  Vec2 up;           ///< straight: the direction of climb
  double sense = 1;  ///< circular: 1 when it climbs counterclockwise
  double angle = 0;  ///< circular: of the low end, radians
};

/// The shortest way back to a corner of the profile for places from `from` to `to` beside the path.
double nearest_back(const Segment& path, const ClimbPlace& corner, double from, double to);

/// The stretches of the path's strip that the tile can meet, each with what is to be done there. Behind the
/// foot, within the bit's reach, the sweep is lowest at a zone's place, when that lies on the path. Near the
/// low end and past the high one it may not: there each kind of place is looked at, and the rounds of the
/// ends.
class ClimbPasses {
 public:
  /// The tile's distances from the path, as ClimbZone's y, and the way along it to its cells' feet.
  struct Range {
    double nearest = 0, farthest = 0;
    double along_least = -std::numeric_limits<double>::infinity(),
           along_most = std::numeric_limits<double>::infinity();
  };
  ClimbPasses(const TilePlace& place, const ClimbTask& task, const ClimbingPath& path, const Range& range)
      : place_(place), task_(task), path_(path), range_(range) {}

  /// By a kind of place, or a zone: for y from `from` to `to` and feet from along0 to along1 on the way from
  /// the low end, mm.
  void add(const ClimbPlace& kind, double from, double to, double along0, double along1);
  void add(const ClimbZone& zone, double along0, double along1);
  /// Does what was added. Returns the cells within the bit's reach.
  std::int64_t run();

 private:
  void add(ClimbPass& pass, double from, double to, double along0, double along1);

  const TilePlace& place_;
  const ClimbTask& task_;
  const ClimbingPath& path_;
  const Range range_;
  std::array<ClimbPass, 24> passes_;
  std::size_t count_ = 0;
};

}  // namespace ovolo
