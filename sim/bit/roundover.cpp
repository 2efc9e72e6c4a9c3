#include "sim/bit/roundover.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/error.hpp"

namespace ovolo {
namespace {

// Half chord of the curve: how far the arc reaches out from the tip flat for a working depth W.
double reach(double radius, double depth) {
  const double h0 = radius - depth;
  return std::sqrt(std::max(0.0, radius * radius - h0 * h0));
}

double depth_for_reach(double radius, double run) {
  return radius - std::sqrt(std::max(0.0, radius * radius - run * run));
}

// One standard deviation of f at x when x has sigma; a secant, since slopes run to infinity near a full
// point.
template <class F>
double carried(F f, double x, double sigma, double lo, double hi) {
  const double up = std::clamp(x + sigma, lo, hi), down = std::clamp(x - sigma, lo, hi);
  return up > down ? std::abs(f(up) - f(down)) * sigma / (up - down) : 0;
}

void require(bool ok, const std::string& message) {
  if (!ok) throw JobError(message);
}

}  // namespace

Roundover derive_roundover(const RoundoverReadings& in) {
  const double R = in.radius;
  require(std::isfinite(R) && R > 0,
          fmt::format("the radius is {}; give the round's radius, more than 0", R));
  if (in.working_depth)
    require(*in.working_depth > 0 && *in.working_depth <= R,
            fmt::format("the working depth {:.4f} mm must lie above 0 and not above the radius {:.4f} mm; "
                        "measure from the "
                        "tip flat up to where the curve ends",
                        *in.working_depth, R));
  if (in.tip_flat)
    require(std::isfinite(*in.tip_flat) && *in.tip_flat >= 0,
            "the tip flat must be 0 or more; it is a diameter");
  if (in.cutting_diameter)
    require(std::isfinite(*in.cutting_diameter) && *in.cutting_diameter > 0,
            "the cutting diameter must be more than 0");

  Roundover out;
  out.readings = in;
  out.radius = R;
  const double e = in.working_depth_error.value_or(in.error);
  const double flat_error = in.tip_flat_error.value_or(in.error);
  const double wide_error = in.cutting_diameter_error.value_or(in.error);
  for (const double error : {e, flat_error, wide_error})
    require(std::isfinite(error) && error >= 0, "the reading error must be 0 or more");
  const double half = flat_error / 2;  // of the tip's radius, read as a diameter
  const auto a_of_w = [R](double w) { return R - reach(R, w); };
  if (in.working_depth) {
    const double W = *in.working_depth;
    out.working_depth = W;
    out.working_depth_error = e;
    if (in.tip_flat) {
      out.tip_radius = *in.tip_flat / 2;
      out.tip_radius_error = half;
      out.cutting_radius = out.tip_radius + reach(R, W);
      // Arcs may stand further apart than a full point's, hardly nearer together: that would be a cutting
      // diameter of less than two radii.
      const double least = a_of_w(W), sure = 3 * std::hypot(half, carried(a_of_w, W, e, 0, R));
      if (!in.cutting_diameter && out.tip_radius < least - sure)
        out.disagreement = fmt::format(
            "a bit shortened to a working depth of {:.3f} mm has a tip flat of {:.3f} mm or more, but {:.3f} "
            "mm "
            "was read{}; measure again, or check the radius",
            W, 2 * least, *in.tip_flat,
            std::abs(*in.tip_flat - least) < sure ? ": half of that, as if the flat's radius had been given "
                                                    "(tip_flat is its diameter)"
                                                  : "");
      if (in.cutting_diameter) {
        const double off = 2 * out.cutting_radius - *in.cutting_diameter;
        const double from_depth = carried([R](double w) { return 2 * reach(R, w); }, W, e, 0, R);
        const double allowed = std::hypot(flat_error, wide_error, from_depth);
        if (std::abs(off) > allowed)
          out.disagreement = fmt::format(
              "working depth and tip flat give a cutting diameter of {:.3f} mm, but {:.3f} mm was read: "
              "{:.3f} mm apart, "
              "more than the {:.3f} mm that the readings' error allows; measure again, or check the radius",
              2 * out.cutting_radius, *in.cutting_diameter, std::abs(off), allowed);
      }
    } else if (in.cutting_diameter) {
      out.cutting_radius = *in.cutting_diameter / 2;
      out.tip_radius = out.cutting_radius - reach(R, W);
      const double from_depth = carried([R](double w) { return reach(R, w); }, W, e, 0, R);
      out.tip_radius_error = std::hypot(wide_error / 2, from_depth);
      require(out.tip_radius >= -3 * out.tip_radius_error,
              fmt::format("a cutting diameter of {:.4f} mm is too small for radius {:.4f} and working depth "
                          "{:.4f} mm, which "
                          "need {:.4f} mm or more; measure again",
                          *in.cutting_diameter, R, W, 2 * reach(R, W)));
      if (out.tip_radius < 0) {
        out.tip_radius = 0;
        out.cutting_radius = reach(R, W);
      }
    } else {
      out.tip_radius = a_of_w(W);
      out.tip_radius_error = carried(a_of_w, W, e, 0, R);
      out.cutting_radius = R;
    }
    return out;
  }
  if (in.tip_flat) {
    const double a = *in.tip_flat / 2;
    out.tip_radius = a;
    out.tip_radius_error = half;
    if (in.cutting_diameter) {
      const double c = *in.cutting_diameter / 2;
      const double run = c - a;
      require(run > 0 && run <= R,
              fmt::format("from the tip flat to the cutting diameter the curve runs {:.4f} mm, which must "
                          "lie above 0 and not "
                          "above the radius {:.4f} mm; measure again, or check the radius",
                          run, R));
      out.cutting_radius = c;
      const auto w_of = [R](double x) { return depth_for_reach(R, x); };
      out.working_depth = w_of(run);
      out.working_depth_error = carried(w_of, run, std::hypot(half, wide_error / 2), 0, R);
      return out;
    }
    require(
        a < R,
        fmt::format(
            "a tip flat of {:.4f} mm across leaves nothing of a round of radius {:.4f} mm; it is a diameter, "
            "less than {:.4f} mm",
            2 * a, R, 2 * R));
    const auto w_of = [R](double x) { return depth_for_reach(R, R - x); };
    out.working_depth = w_of(a);
    out.working_depth_error = carried(w_of, a, half, 0, R);
    out.cutting_radius = R;
    return out;
  }
  // The cutting diameter alone says how far apart the arcs stand, not where the tip ends: a full point is
  // assumed.
  out.working_depth = R;
  out.cutting_radius = in.cutting_diameter ? *in.cutting_diameter / 2 : R;
  out.tip_radius = out.cutting_radius - R;
  require(
      out.tip_radius >= 0,
      fmt::format("a cutting diameter of {:.4f} mm is too small for a full point of radius {:.4f} mm; give "
                  "the working depth or the tip flat",
                  2 * out.cutting_radius, R));
  return out;
}

}  // namespace ovolo
