#include "sim/advise/bit_belief.hpp"

#include <algorithm>
#include <cmath>

namespace ovolo {

BitBelief::BitBelief(const RoundoverReadings& readings, double error) : radius_(readings.radius) {
  const Roundover bit = derive_roundover(readings);
  const double half = error / 2;  // of radii read as diameters
  const bool W = readings.working_depth.has_value(), a = readings.tip_flat.has_value(),
             c = readings.cutting_diameter.has_value();
  tip_ = bit.tip_radius;
  cutting_ = bit.cutting_radius;
  run_ = bit.cutting_radius - bit.tip_radius;
  if (W) {
    read_ = a ? Read::depth_and_tip : c ? Read::depth_and_diameter : Read::depth;
    mean_ = bit.working_depth;
    sigma_ = error;
    if (a || c) tip_sigma_ = half;
  } else if (a && c) {
    // The run is the difference of two readings; the tip given the run keeps half their variance.
    read_ = Read::tip_and_diameter;
    mean_ = run_;
    sigma_ = half * std::sqrt(2.0);
    tip_sigma_ = half / std::sqrt(2.0);
  } else if (a) {
    read_ = Read::tip;
    mean_ = tip_;
    sigma_ = half;
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
      bit.tip_radius = tip_ - (x - run_) / 2;
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
