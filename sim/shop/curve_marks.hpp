#pragma once
#include <cstddef>
#include <optional>
#include <vector>

#include "sim/shop/feed_marks.hpp"

namespace ovolo {

/// One place on a moulded surface, as the marks see it.
struct MarkPlace {
  double s = 0;        ///< mm along the surface, from the foot up to the face
  Vec2 at;             ///< (u, z) in the section
  double radius = 0;   ///< mm, the bit's radius where it cut this place; 0 on its axis
  double upright = 0;  ///< cosine of the surface normal's slope from the horizontal: 1 on a wall, 0 on a flat
  std::size_t cut = 0;  ///< which of the cuts' settings made it
};

/// A place and its marks, heights across the surface. Empty marks: they do not overlap there.
struct MarkPoint {
  MarkPlace place;
  std::optional<FeedMarks> marks;
};

/// A stretch of the moulded surface. Heights in mm; where the marks do not overlap the bit's radius stands
/// in, their least height.
struct MarkBand {
  double s0 = 0, s1 = 0;  ///< mm along the surface from the foot
  Vec2 from, to;          ///< its ends, (u, z)
  double rt = 0;          ///< tallest crest in it; Rz of its roughest line
  double ra = 0;          ///< mean over its length
  double rz = 0;          ///< mean over its length of the lines' Rz
  bool nearest_tip = false;
  bool open = false;  ///< somewhere in it the marks do not overlap
};

struct CurveMarks {
  std::vector<MarkPoint> points;   ///< from the foot up
  std::vector<MarkBand> bands;     ///< likewise; the first is the one nearest the tip
  double tallest = 0;              ///< mm
  Vec2 tallest_at;                 ///< (u, z)
  std::size_t tallest_point = 0;   ///< index into points
  std::vector<MarkSettings> cuts;  ///< what the points' `cut` refers to
  double mean_crest = 0;           ///< mean over the surface of crest height, mm
  double marks_per_inch = 0;       ///< the fewest anywhere
  bool open = false;               ///< marks do not overlap somewhere

  double length() const { return points.empty() ? 0 : points.back().place.s; }
};

/// Marks at every place (rising s), and by bands of equal length, 1 to 100.
CurveMarks curve_marks(const std::vector<MarkPlace>& places, const std::vector<MarkSettings>& cuts,
                       int bands = 4);

/// The places of the surface that one level pass of the bit at `depth` leaves on a straight edge, the axis
/// `offset`
/// (>= 0) outside the wall: from the bit's radius at the wall up to the face, steps of at most `step` mm.
/// Level pieces have no feed marks of this kind (upright 0). Throws JobError when the bit cuts nothing there.
std::vector<MarkPlace> places_of_pass(const Profile& profile, double offset, double depth, double step = 0.1);

}  // namespace ovolo
