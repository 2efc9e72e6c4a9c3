#pragma once
#include <optional>
#include <string>
#include <vector>

#include "sim/advise/edge_case.hpp"

namespace ovolo {

/// The working depth of a bit at some day or after some metres of edge.
struct WearReading {
  double at = 0;     ///< days (from any first day), or metres run
  double depth = 0;  ///< mm
  double error = 0;  ///< one standard deviation, > 0
  std::string date;
};

/// A straight line through them, weighted by their errors.
struct Wear {
  std::vector<WearReading> readings;          ///< rising `at`
  double now = 0;                             ///< the last reading's `at`
  double depth_now = 0, depth_now_error = 0;  ///< of the line there
  double loss = 0, loss_error = 0;            ///< mm per unit of `at`, positive when the depth falls
  double covariance = 0;                      ///< of depth_now and loss
  double chance = 1;                          ///< of so much scatter about the line by the readings' errors

  double depth_at(double at) const { return depth_now - loss * (at - now); }
  double error_at(double at) const;

  /// `at` where the line reaches a depth, from now on; empty when it does not within 20 times the span seen.
  /// Earliest and latest: where the line less, or plus, 1.96 of its own errors does.
  struct Reach {
    std::optional<double> likely, earliest, latest;
  };
  Reach reaches(double depth) const;
};

/// Two readings or more, at two places or more. Throws JobError.
Wear fit_wear(std::vector<WearReading> readings);

/// The working depth at which an edge cut with these settings leaves the wishes as a roundover wears, and the
/// wish that then breaks.
struct WearLimit {
  double working_depth = 0;
  Wish breaks = Wish::limit;
};
/// Empty when it is outside already, never leaves, or the bit is no roundover.
std::optional<WearLimit> wear_limit(const EdgeCase& edge, double depth, double offset);

}  // namespace ovolo
