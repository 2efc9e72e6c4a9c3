#pragma once
#include <optional>
#include <vector>

#include "sim/job.hpp"

namespace ovolo {

/// What spaces the feed marks that a turning bit leaves.
struct MarkSettings {
  double feed = 0;     ///< mm/min, > 0
  double spindle = 0;  ///< rpm, > 0
  int flutes = 2;      ///< 1 to 64, evenly spaced
  double runout =
      0.02;  ///< mm, total indicator reading at the cutting edge, >= 0; a guess within 'good' (0.01-0.03)
  /// Which way the cutting edge moves along the finished wall; empty: the edge's path is taken as a circle.
  std::optional<Direction> direction;

  double advance_per_turn() const { return feed / spindle; }                ///< mm
  double advance_per_tooth() const { return advance_per_turn() / flutes; }  ///< mm
};

/// Marks along one line of the finished surface. Heights in mm, across the surface they are given for.
/// Rz (the mean of five peak-to-valley heights) equals Rt, since every sampling length holds whole marks.
struct FeedMarks {
  int marking = 0;     ///< flutes that leave a mark in each turn; the rest run below the high ones' crests
  double spacing = 0;  ///< mean distance between marks, mm
  double rt = 0;       ///< crest above the deepest valley
  double ra = 0;       ///< mean distance from the mean line
  double rq = 0;       ///< root mean square of the same
};

/// Marks in plan of a bit turning at `radius` (> 0, mm; the bit's radius at the height looked at). Flute i
/// turns at radius - runout/2 (1 - cos(2 pi i / flutes)); with a direction each runs on its true trochoid,
/// against the feed (conventional) flattening the marks, with it (climb) raising them. Exact but for Ra and
/// Rq, which take each mark as a parabola through its crests. Empty when the marks do not overlap: what is
/// left between them has no bottom in this form. Throws JobError on a setting out of range.
std::optional<FeedMarks> feed_marks(double radius, const MarkSettings& settings);

/// The marked surface along the feed, in plan: heights above the deepest valley (mm) at `count` places over
/// `length` mm, ends included (count >= 2), from a valley of the flute that stands highest. Infinite where
/// nothing overlaps. Throws as feed_marks does.
std::vector<double> mark_heights(double radius, const MarkSettings& settings, double length, int count);

/// Marks in every inch: rpm N / (12 feed in ft/min), with N the flutes that mark.
double marks_per_inch(const FeedMarks& marks);

/// Grade of a profiled wood surface by its marks per inch: economy from 15, custom and premium from 20
/// (Architectural Woodwork Standards 2009, section 8).
enum class MarkGrade { none, economy, custom_and_premium };
MarkGrade mark_grade(double marks_per_inch);

}  // namespace ovolo
