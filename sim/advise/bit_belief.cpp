#include "sim/advise/bit_belief.hpp"

#include <algorithm>
#include <cmath>

namespace ovolo {

BitBelief::BitBelief(const RoundoverReadings& readings, std::optional<double> error)
    : radius_(readings.radius) {
  const Roundover bit = derive_roundover(readings);
  const auto of = [&](const std::optional<double>& own) {
    return error.value_or(own.value_or(readings.error));
  };
  const double depth_error = of(readings.working_depth_error);
  // Of radii that were read as diameters.
  const double tip_error = of(readings.tip_flat_error) / 2,
               cutting_error = of(readings.cutting_diameter_error) / 2;
  const bool W = readings.working_depth.has_value(), a = readings.tip_flat.has_value(),
             c = readings.cutting_diameter.has_value();
  tip_ = bit.tip_radius;
  cutting_ = bit.cutting_radius;
  run_ = bit.cutting_radius - bit.tip_radius;
  if (W) {
    read_ = a ? Read::depth_and_tip : c ? Read::depth_and_diameter : Read::depth;
    mean_ = bit.working_depth;
    sigma_ = depth_error;
    if (a || c) tip_sigma_ = a ? tip_error : cutting_error;
  } else if (a && c) {
    // The run is the difference of two readings: the tip, given the run, is less uncertain than its own
    // reading.
    read_ = Read::tip_and_diameter;
    mean_ = run_;
    sigma_ = std::hypot(tip_error, cutting_error);
    if (sigma_ > 0) {
      tip_sigma_ = tip_error * cutting_error / sigma_;
      tip_share_ = tip_error * tip_error / (sigma_ * sigma_);
    }
  } else if (a) {
    read_ = Read::tip;
    mean_ = tip_;
    sigma_ = tip_error;
  } else {
    read_ = Read::nothing;
    mean_ = bit.working_depth;
  }
}

BitBelief::Bit BitBelief::at(double x) const {
  const auto run_of_depth = [this](double depth) {
    const double h0 = radius_ - depth;
    return std::sqrt(std::max(0.0, radius_ * radius_ - h0 * h0));
  };
  const auto depth_of_run = [this](double run) {
    return radius_ - std::sqrt(std::max(0.0, radius_ * radius_ - run * run));
  };
  Bit bit{};
  switch (read_) {
    case Read::depth:
    case Read::depth_and_tip:
    case Read::depth_and_diameter:
    case Read::nothing:
      bit.working_depth = std::clamp(x, 1e-9, radius_);
      bit.run = run_of_depth(bit.working_depth);
      break;
    case Read::tip:
      bit.run = std::clamp(radius_ - x, 1e-9, radius_);
      bit.working_depth = depth_of_run(bit.run);
      break;
    case Read::tip_and_diameter:
      bit.run = std::clamp(x, 1e-9, radius_);
      bit.working_depth = depth_of_run(bit.run);
      break;
  }
  switch (read_) {
    case Read::depth:
      bit.tip_radius = radius_ - bit.run;
      break;
    case Read::depth_and_diameter:
      bit.tip_radius = cutting_ - bit.run;
      break;
    case Read::tip:
      bit.tip_radius = x;
      break;
    case Read::tip_and_diameter:
      bit.tip_radius = tip_ - tip_share_ * (x - run_);
      break;
    case Read::depth_and_tip:
    case Read::nothing:
      bit.tip_radius = tip_;
      break;
  }
  return bit;
}

double BitBelief::x_of_run(double run) const {
  if (read_ == Read::tip) return radius_ - run;
  if (read_ == Read::tip_and_diameter) return run;
  return radius_ - std::sqrt(std::max(0.0, radius_ * radius_ - run * run));
}

}  // namespace ovolo
