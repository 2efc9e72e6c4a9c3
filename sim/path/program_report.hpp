#pragma once
#include <cstdint>
#include <optional>
#include <vector>

#include "sim/job.hpp"

namespace ovolo {

/// How far a program's path really lies from a contour, and how deep it goes, for one bit. Seen at stations
/// along the contour: where the path of the bit's axis crosses the contour's normal, within reach of the bit.
struct ProgramPathReport {
  /// Of one quantity over the stations; mean weighted by length.
  struct Range {
    double min = 0, mean = 0, max = 0;
    Vec2 min_at, max_at;             ///< on the contour
    int min_line = 0, max_line = 0;  ///< of the program
  };
  double length = 0;   ///< mm of contour
  double reached = 0;  ///< mm of contour that the bit passes below the face
  Range offset;  ///< mm from the line, away from the part positive, of the deepest crossing at each station
  Range depth;   ///< mm below the face, of the deepest crossing at each station
  double nearest = 0;  ///< mm: least offset of any crossing below the face, not only of the deepest
  int nearest_line = 0;
  int passes = 0;  ///< passes that each went deeper (by 0.01 mm) than those before, along most of the length
  int examined_to_line = 0;  ///< a program too long to examine whole was looked at up to here; 0: whole
};

/// `keep` says which side of the contour is the part. Crossings farther from the line than the bit's cutting
/// radius are not its concern. Empty when no feed move of the bit passes the contour below the face.
/// `spacing` (mm, > 0) is the most between stations.
std::optional<ProgramPathReport> report_program_path(const std::vector<ProgramMotion>& program,
                                                     std::uint32_t bit, double cutting_radius,
                                                     const Contour& contour, Keep keep, double spacing = 0.5);

}  // namespace ovolo
