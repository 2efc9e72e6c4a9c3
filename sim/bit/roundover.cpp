#include "sim/bit/roundover.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/error.hpp"
#include "sim/text.hpp"

namespace ovolo {
namespace {

// How far beyond a full point's a tip's radius may lie, in radii of the round, before it is asked about:
// common practice, no published source.
constexpr double kRareFlat = 0.1;

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
            fmt::format(
                "the working depth {} must lie above 0 and not above the radius {}{}; measure from the tip "
                "flat up to where the curve ends",
                fine_units(*in.working_depth), fine_units(R),
                *in.working_depth > 2 * R ? " (are both in the same unit?)" : ""));
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
            "a bit shortened to a working depth of {} has a tip flat of {} or more, but {} was read{}; "
            "measure "
            "again, or check the radius",
            fine_units(W), fine_units(2 * least), fine_units(*in.tip_flat),
            std::abs(*in.tip_flat - least) < sure ? ": half of that, as if the flat's radius had been given "
                                                    "(tip_flat is its diameter)"
                                                  : "");
      // Much further apart is rarer than a slip of the pen.
      if (!in.cutting_diameter && out.tip_radius > least + sure + kRareFlat * R)
        out.disagreement = fmt::format(
            "a tip flat of {} with a working depth of {} makes the bit {} wide, where a full point of this "
            "radius is {} and its flat {}; measure again, or give the cutting diameter too",
            fine_units(*in.tip_flat), fine_units(W), fine_units(2 * out.cutting_radius), fine_units(2 * R),
            fine_units(2 * least));
      if (in.cutting_diameter) {
        const double off = 2 * out.cutting_radius - *in.cutting_diameter;
        const double from_depth = carried([R](double w) { return 2 * reach(R, w); }, W, e, 0, R);
        const double allowed = std::hypot(flat_error, wide_error, from_depth);
        if (std::abs(off) > allowed)
          out.disagreement = fmt::format(
              "working depth and tip flat give a cutting diameter of {}, but {} was read: {} apart, more "
              "than "
              "the {} that the readings' error allows; measure again, or check the radius",
              fine_units(2 * out.cutting_radius), fine_units(*in.cutting_diameter), fine_units(std::abs(off)),
              fine_units(allowed));
      }
    } else if (in.cutting_diameter) {
      out.cutting_radius = *in.cutting_diameter / 2;
      out.tip_radius = out.cutting_radius - reach(R, W);
      const double from_depth = carried([R](double w) { return reach(R, w); }, W, e, 0, R);
      out.tip_radius_error = std::hypot(wide_error / 2, from_depth);
      require(
          out.tip_radius >= -3 * out.tip_radius_error,
          fmt::format(
              "a cutting diameter of {} is too small for radius {} and working depth {}, which need {} or "
              "more; measure again",
              fine_units(*in.cutting_diameter), fine_units(R), fine_units(W), fine_units(2 * reach(R, W))));
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
      require(
          run > 0 && run <= R,
          run > 0
              ? fmt::format(
                    "the cutting diameter {} is too large for radius {} and tip flat {}, which make {} at "
                    "most; measure again, or check the radius",
                    fine_units(2 * c), fine_units(R), fine_units(2 * a), fine_units(2 * (a + R)))
              : fmt::format("the tip flat {} must be less than the cutting diameter {}: both are read "
                            "straight across the bit; measure again",
                            fine_units(2 * a), fine_units(2 * c)));
      out.cutting_radius = c;
      const auto w_of = [R](double x) { return depth_for_reach(R, x); };
      out.working_depth = w_of(run);
      out.working_depth_error = carried(w_of, run, std::hypot(half, wide_error / 2), 0, R);
      return out;
    }
    require(
        a < R,
        fmt::format(
            "a tip flat of {} across leaves nothing of a round of radius {}; it is a diameter, less than {}",
            fine_units(2 * a), fine_units(R), fine_units(2 * R)));
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
      fmt::format(
          "a cutting diameter of {} is too small for a full point of radius {}; give the working depth or "
          "the tip flat",
          fine_units(2 * out.cutting_radius), fine_units(R)));
  return out;
}

}  // namespace ovolo
