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

// Undercut forms: the radius falls somewhere on the way up. Each ends in an upright neck of height `wall`.

/// Rounds an edge to a half circle: a hollow half circle of `radius` between two upright lands of height
/// `land`, `neck_diameter` across at its narrowest, in the middle.
Profile bullnose(double radius, double neck_diameter, double land, double wall);
/// Rounds the lower arris: an upright land at the tip, then a hollow quarter circle in to the neck.
Profile bottom_round(double radius, double neck_diameter, double land, double wall);
/// Widest at the tip, the flank leaning in by `angle` from the axis (0 < angle < pi/2) over `height` to the
/// neck.
Profile dovetail(double angle, double cutting_diameter, double height, double wall);
/// A disc `cutting_diameter` across and `head_height` high on a narrower neck.
Profile t_slot(double cutting_diameter, double head_height, double neck_diameter, double wall);
/// A bulb, half a circle of `radius` in section, `cutting_diameter` across at its widest, on a neck that it
/// joins level and in a hollow of `lip_radius` (0: square), which rounds the lip that fingers go behind.
Profile finger_pull(double radius, double cutting_diameter, double neck_diameter, double lip_radius,
                    double wall);

/// What a straight pass with the axis `offset` mm off the wall and the tip `depth` below the face leaves of
/// the whole chain, necks and hollows too: from the wall up to the face. Lines and arcs, each monotone in u
/// and z; u may fall. Throws JobError when nothing of the bit is past the wall.
WantedForm swept_form(const Profile& profile, double depth, double offset);

/// The form's own curve placed with its foot on the wall and its top on the face: height(r) for r from
/// `tip_radius` to the cutting radius, upright pieces included, below an upright fillet of `face_fillet`.
WantedForm wanted_from_profile(const Profile& profile, double tip_radius, double face_fillet = 0);

}  // namespace ovolo
