#pragma once
#include "sim/bit/profile.hpp"
#include "sim/bit/roundover.hpp"
#include "sim/job.hpp"

namespace ovolo {

/// Half profiles of the families of forms. Lengths mm, angles radians, diameters and radii of the bit as
/// named. Each ends in an upright cutting wall of height `wall` above its curve. All throw JobError with the
/// mend when a value cannot be (not positive, not finite, or contradicting another).
Profile point_roundover(const Roundover& bit, double wall);
Profile straight(double diameter, double wall);
Profile ball(double diameter, double wall);
/// Cutting edge at `angle` from the axis (0 < angle < pi/2), from the small end up to the cutting diameter.
Profile chamfer(double angle, double small_end, double cutting_diameter, double wall);
/// Convex quarter circle of the given radius outside a level tip: leaves a hollow quarter round.
Profile cove(double radius, double tip_flat, double wall);
/// Quarter round with a level fillet at the foot (width) and an upright one at the face (height).
Profile ovolo_form(double radius, double tip_flat, double foot_fillet, double face_fillet, double wall);
/// Round above, hollow below, joined upright: hollow of radius `cove_radius` at the foot, round of `radius`
/// at the face, fillets as for an ovolo.
Profile ogee(double radius, double cove_radius, double tip_flat, double foot_fillet, double face_fillet,
             double wall);

/// The form's own curve placed with its foot on the wall and its top on the face: height(r) for r from
/// `tip_radius` to the cutting radius, upright pieces included, below an upright fillet of `face_fillet`.
WantedForm wanted_from_profile(const Profile& profile, double tip_radius, double face_fillet = 0);

}  // namespace ovolo
