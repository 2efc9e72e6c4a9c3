#pragma once
#include <vector>

#include "sim/geometry/segment.hpp"

namespace ovolo {

/// Exact integrals along and under lines and arcs in the section plane (u, z). Arcs must be monotone in u and
/// z.

/// Length and its first moment about u = 0: integrals of ds and of u ds.
struct LengthIntegral {
  double length = 0, moment = 0;
};
LengthIntegral length_integral(const Segment& s);

/// Integrals of z du and of u z du between u0 and u1, both within the segment's own range.
struct AreaIntegral {
  double area = 0, moment = 0;
};
AreaIntegral area_integral(const Segment& s, double u0, double u1);

/// z at u; the segment must not be upright.
double height_at(const Segment& s, double u);

/// The part of a segment between depths: z in [lo, hi]; empty when there is none. Appended to `out`.
void part_between(const Segment& s, double lo, double hi, std::vector<Segment>& out);

}  // namespace ovolo
