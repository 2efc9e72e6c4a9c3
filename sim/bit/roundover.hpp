#pragma once
#include <optional>
#include <string>

namespace ovolo {

/// What was read off a point-cutting roundover with a caliper, mm. Diameters as a caliper gives them.
struct RoundoverReadings {
  double radius = 0;                       ///< R, of both quarter circles; > 0
  std::optional<double> working_depth;     ///< W: tip flat up to where the curve ends
  std::optional<double> tip_flat;          ///< 2a, a diameter
  std::optional<double> cutting_diameter;  ///< 2c
  double error = 0.03;                     ///< reading error (one standard deviation) of each, mm
  /// Of single readings, where they differ from `error`; of the diameters as read.
  std::optional<double> working_depth_error = {}, tip_flat_error = {}, cutting_diameter_error = {};
};

/// The bit those readings describe. Two quarter circles of radius R whose centre lies h0 below the tip:
/// h0 = R - W, c = a + sqrt(R^2 - h0^2).
struct Roundover {
  RoundoverReadings readings;                            ///< what it was derived from
  double radius = 0;                                     ///< R
  double working_depth = 0;                              ///< W, 0 < W <= R
  double tip_radius = 0;                                 ///< a
  double cutting_radius = 0;                             ///< c
  double working_depth_error = 0, tip_radius_error = 0;  ///< one standard deviation, from the readings' error
  std::string disagreement;  ///< empty, or how far the three readings are apart and what that means
  double h0() const { return radius - working_depth; }
};

/// W alone or a alone means a shortened full point (c = R). a with c gives W = R - sqrt(R^2 - (c - a)^2); W
/// with a keeps both; W with c gives a = c - sqrt(R^2 - h0^2). With all three W and a are kept and the
/// disagreement is told. Nothing but R means a full point. Throws JobError naming the reading that cannot be.
Roundover derive_roundover(const RoundoverReadings& readings);

}  // namespace ovolo
