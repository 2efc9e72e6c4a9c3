#pragma once
#include "sim/job.hpp"
#include "sim/measure/edge.hpp"
#include "sim/measure/section.hpp"
#include "sim/stock/heightfield.hpp"

namespace samples {

/// A point-cutting roundover run level, mm: radius R, working depth W, pass depth D, axis o off the line.
struct Cut {
  double radius = 5, working_depth = 3.62, depth = 5, offset = 0;
  double h0() const { return radius - working_depth; }
  double tip() const { return radius - std::sqrt(radius * radius - h0() * h0()); }
  /// Height of the cut surface at u mm into the part, 0 on the face.
  double height(double u) const;
};

/// Three plastic layers of 1.3, 10.1 and 1.3 mm.
ovolo::Stock three_layers();
/// The section of a straight edge, from lines and true arcs.
ovolo::Section section(const Cut& cut, double u_max = 40);
/// What the design's closed forms say of it; excess and gouge are left to the caller.
ovolo::SectionMeasures measures(const Cut& cut);
/// Stations around a contour with the part inside; the cut's depth rises and falls by `swing` once around,
/// the first `ends` mm count as an end and `unreached` mm in the middle as unreached.
ovolo::EdgeMeasures edge(const Cut& cut, const ovolo::Contour& contour, double swing = 0, double ends = 0,
                         double unreached = 0);
/// The finished surface around a contour with the part inside, cut by one level pass; outside it is cut
/// through.
ovolo::Heightfield field(const Cut& cut, const ovolo::Contour& contour, const ovolo::Box2& window,
                         double cell, double through);

}  // namespace samples
