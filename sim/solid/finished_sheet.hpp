#pragma once
#include <cstdint>
#include <optional>
#include <vector>

#include "sim/bit/body.hpp"
#include "sim/path/move_index.hpp"
#include "sim/path/plan.hpp"
#include "sim/solid/part_wall.hpp"
#include "sim/solid/point3.hpp"

namespace ovolo {

/// Which material a solid holds: the whole sheet, or the part alone (PartWall).
enum class SolidOf : std::uint8_t { part, sheet };

/// The finished sheet as a function of space, worked out from the moves: below 0 in the material, above 0
/// outside, 0 exactly on its surface. Its size is never more than the distance to the surface (of a sheet
/// that is not flat, no more than 1.05 times it). Thread-safe; job, plan and index must outlive it.
class FinishedSheet {
 public:
  /// `window` leaves only what lies above it in plan.
  FinishedSheet(const Job& job, const Plan& plan, const MoveIndex& index, SolidOf what,
                const std::optional<Box2>& window = {});

  /// Where there can be material.
  const Box2& plan_box() const { return plan_box_; }
  double bottom() const { return -thickness_; }

  /// One surface that bounds the material: a face or border of the sheet, the part's wall, or a move.
  using Owner = std::uint32_t;

  /// What can shape the surface within a ball.
  struct Near {
    enum class State : std::uint8_t { empty, full, mixed } state = State::full;
    std::vector<Owner> owners;  ///< mixed only; ascending
  };
  Near near(Point3 centre, double radius) const;
  /// The same for a ball within one that is known already.
  void near(const Near& around, Point3 centre, double radius, Near& out) const;

  const PartWall& wall() const { return wall_; }
  /// Is it the part alone, bounded by the wall?
  bool walled() const { return walled_; }
  /// Places in the material just within the part's wall: the pieces that hold one are the part. None where
  /// nothing bounds the part, or a window takes it out of its whole.
  std::vector<Point3> kept_places() const;

  /// The function within a ball; `owner` says whose surface is nearest.
  double value(const Near& near, Point3 p, Owner* owner = nullptr) const;
  double value(Point3 p) const;
  /// Unit normal of one surface, out of the material, at or near it.
  Point3 normal(Owner owner, Point3 p) const;
  /// Is this surface a plane (of the sheet's box)?
  static bool plane(Owner owner) { return owner < kPart; }

 private:
  static constexpr Owner kPart = 6, kMoves = 7;
  /// How closely a move's distance need be known: from `below` up, and under `plenty`, a value on the same
  /// side of them will do.
  struct Wanted {
    double below, plenty;
  };
  double surface(Owner owner, Point3 p, Wanted wanted) const;
  double move(const Move& move, Point3 p, Wanted wanted) const;
  double most_of(const std::vector<Owner>& owners, Point3 p, Owner* owner) const;
  std::vector<Owner> all_near(Point3 p, double radius) const;
  bool climbs(Owner owner) const;
  void find_hidden();
  std::optional<Point3> first_material(const PartWall::Way& way) const;

  const Job& job_;
  const Plan& plan_;
  const MoveIndex& index_;
  Box2 plan_box_;
  double thickness_ = 0, slack_ = 1;
  std::vector<BitBody> bodies_;
  std::vector<std::uint8_t> hidden_;  ///< per move: it takes nothing that another one does not
  PartWall wall_;
  bool walled_, windowed_;
};

}  // namespace ovolo
