#pragma once
#include <optional>
#include <string>
#include <vector>

#include "sim/job.hpp"

namespace ovolo::io {

/// What a shop wants to know of a bit before it picks one. Lengths mm, angles radians; errors are one
/// standard deviation. What a form does not have is empty.
struct BitRow {
  std::string id, form, date;
  double radius = 0;         ///< nominal, 0 when the form has none
  double working_depth = 0;  ///< tip up to where the curve ends
  double tip_flat = 0;       ///< across
  double cutting_diameter = 0;
  double thickness_above = 0;  ///< across, 1 mm above the tip: how slender it is
  std::optional<double> working_depth_error, tip_flat_error;
  bool not_read = false;  ///< nothing was measured: the form's nominal values are shown
  std::optional<double> lost_angle, lost_length;  ///< of the quarter circle, by grinding the tip off
  std::optional<double> depth, offset;            ///< the settings below
  std::optional<double> face_break, wall_break, foot_depth;  ///< what they leave
  std::optional<double> lip, lip_error;  ///< lip to be expected at that depth, from the reading's error
  std::string remark;                    ///< empty, or what to look at: readings that disagree, undercut
};

/// The row of one bit. For point-cutting roundovers the settings that leave no lip and no band while the true
/// W and tip flat lie within two standard deviations of the readings: depth W - 2 sigma, offset a + 2 sigma
/// (to 0.01 mm, on the safe side), with the breaks there.
BitRow bit_row(const Bit& bit);

/// Mean and standard deviation of max(0, depth - W) for W normal about `working_depth`.
struct Expected {
  double mean, deviation;
};
Expected expected_lip(double depth, double working_depth, double error);

/// The rows side by side, a column for each bit, in mm or inches.
std::string bit_table(const std::vector<BitRow>& rows, bool inch);

}  // namespace ovolo::io
