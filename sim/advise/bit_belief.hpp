#pragma once
#include <optional>

#include "sim/bit/roundover.hpp"

namespace ovolo {

/// What the readings of a point-cutting roundover leave open, as one normal variable x that fixes the working
/// depth, and the tip flat's radius, which is normal for a given x. All in mm.
class BitBelief {
 public:
  /// `error`, when given, is one standard deviation of every reading (of a depth or a diameter) in place of
  /// their own.
  BitBelief(const RoundoverReadings& readings, std::optional<double> error);

  double mean() const { return mean_; }    ///< of x
  double sigma() const { return sigma_; }  ///< of x
  /// The bit for one value of x: the tip flat at its mean.
  struct Bit {
    double working_depth;  ///< within (0, R]
    double run;            ///< from the tip flat to the cutting radius
    double tip_radius;
  };
  Bit at(double x) const;
  double tip_sigma() const { return tip_sigma_; }  ///< of the tip radius at a given x
  /// x at which the curve's run is so long; outside all that is possible when no x gives it.
  double x_of_run(double run) const;

 private:
  enum class Read { depth, depth_and_tip, depth_and_diameter, tip, tip_and_diameter, nothing };
  Read read_;
  double radius_, mean_ = 0, sigma_ = 0, tip_sigma_ = 0;
  double tip_ = 0, cutting_ = 0, run_ = 0;
  double tip_share_ = 0;  // of a longer run, by which the tip is smaller
};

}  // namespace ovolo
