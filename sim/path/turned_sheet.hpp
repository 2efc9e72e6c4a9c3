#pragma once
#include "sim/path/plan.hpp"

namespace ovolo {

/// A rigid motion of the plane, mirrored or not: p -> (x.x p.x + y.x p.y, x.y p.x + y.y p.y) + shift.
struct PlaneMotion {
  Vec2 x{1, 0}, y{0, 1};  ///< what the unit vectors become
  Vec2 shift;
  Vec2 operator()(Vec2 p) const { return p.x * x + p.y * y + shift; }
  Segment operator()(const Segment& s) const;
  Contour operator()(const Contour& c) const;
  bool identity() const { return x == Vec2{1, 0} && y == Vec2{0, 1} && shift == Vec2{}; }
  PlaneMotion inverse() const;
  friend bool operator==(const PlaneMotion&, const PlaneMotion&) = default;
};
PlaneMotion operator*(const PlaneMotion& after, const PlaneMotion& before);

/// How places on the sheet, seen from its top face, become places on the machine in a set-up: `nominal` as it
/// should lie, `real` with the registration error of that turn.
struct SheetPose {
  PlaneMotion nominal, real;
};
SheetPose sheet_pose(const Stock& stock, const std::vector<Operation>& operations, std::uint32_t set_up);

/// A program's motions from the machine's places in a set-up to the sheet's, as it should lie. Heights stay.
void place_on_sheet(const SheetPose& pose, std::vector<ProgramMotion>& program);

/// Moves of turned set-ups are planned as if the sheet were seen from its top face: here they go where they
/// really cut it, registration errors included. Heights stay those of the set-up: 0 on the face that is up.
void lay_turned(const Job& job, Plan& plan);

}  // namespace ovolo
