#pragma once
#include "sim/job.hpp"
#include "sim/path/plan.hpp"

namespace ovolo {

/// Writes moves in the order they are made, from where the bit stands: rapids across at the safe height,
/// descents, cuts. Heights are the tip's, mm, Z up; lengths along a path, mm.
class Route {
 public:
  static constexpr double kSafe = 5;       ///< mm above the face: rapids across
  static constexpr double kClearance = 1;  ///< mm above what was cut before: rapids down end

  /// The bit stands above the sheet's origin.
  explicit Route(Plan& plan) : plan_(plan) {}

  /// The following moves belong to this operation: its bit, feeds and spindle speed, in the given set-up. No
  /// plunge feed means the feed.
  void begin(const Operation& operation, std::uint32_t index, std::uint32_t set_up);
  /// The following places are shifted by `by`: one copy of the contour.
  void place(Vec2 by) { shift_ = by; }
  void pass(std::uint32_t pass) { pass_ = pass; }
  /// Whether the following moves count for the surface.
  void counted(bool counted) { counted_ = counted; }

  /// Height of the tip now.
  double height() const { return z_; }
  /// Up to the safe height, unless it is there.
  void lift();
  /// Lifts, goes across to p and comes down to z with the plunge feed for the last kClearance.
  void approach(Vec2 p, double z);
  /// Straight down or up to z, at the plunge feed; nothing when it is there within 1e-9 mm.
  void plunge(double z);
  /// One line or arc; z goes from z0 to z1 along it. Starts where the last move ended.
  void along(const Segment& path, double z0, double z1, MoveRole role);
  /// `length` mm of a contour from arc length `from` on, round and round when it is closed.
  void follow(const Contour& contour, double from, double length, double z0, double z1, MoveRole role);
  /// A level move over an area.
  void region(Region area, double z);
  /// A move as it is.
  void raw(const Move& move);

 private:
  Plan& plan_;
  const Operation* operation_ = nullptr;
  std::uint32_t index_ = 0, pass_ = 0, set_up_ = 0;
  Vec2 shift_, at_;
  double z_ = kSafe;
  bool counted_ = true;

  Move blank(MoveRole role) const;
  void straight(Vec2 to, double z, MoveRole role, bool counts);
};

}  // namespace ovolo
