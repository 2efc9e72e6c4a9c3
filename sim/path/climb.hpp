#pragma once
#include <array>
#include <limits>

#include "sim/bit/profile.hpp"

namespace ovolo {

/// A place p beside a climbing path, seen from p: the distance to the path w mm (of path length) back from
/// the foot of p is sqrt(y^2 + w^2) for a straight path and sqrt(y^2 + 4 rho A sin^2(w / 2A)) for a circular
/// one of radius A about a centre rho away from p, with y = |rho - A|.
class Beside {
 public:
  static Beside line(double y) { return Beside(y, 0, 0); }
  static Beside arc(double rho, double radius);

  double y() const { return y_; }
  double distance(double w) const;
  /// The way back at which the distance is r (clamped to what can be: y <= r <= rho + A).
  double back(double r) const;
  /// Farthest distance: rho + A; infinite for a straight path.
  double farthest() const { return farthest_; }
  double radius() const { return radius_; }

 private:
  Beside(double y, double chord, double radius) : y_(y), chord_(chord), radius_(radius) {}
  double y_;
  double chord_;   // 4 rho A; 0 when straight
  double radius_;  // A; 0 when straight
  double farthest_ = std::numeric_limits<double>::infinity();
};

/// A few distances, ascending.
struct Distances {
  std::array<double, 16> r;
  int count = 0;
  void add(double v) { r[static_cast<std::size_t>(count++)] = v; }
  const double* begin() const { return r.data(); }
  const double* end() const { return r.data() + count; }
};

/// Distances r in [lo, hi] at which f(r) - slope * back(r) is stationary on one piece of the profile: all
/// real roots of f'(r) dr/dw = slope, and now and then a place beside them that is not one. Ascending. slope
/// > 0 is the climb per mm of path.
Distances stationary_distances(const Profile::Piece& piece, const Beside& beside, double slope, double lo,
                               double hi);

/// The lowest place of the bit behind a foot: f(distance(w)) - slope * w, +inf when the bit does not reach,
/// its way back w, and which kind of place it is: the inner end of a stretch of the piece, its outer end, or
/// between.
struct Lowest {
  enum class At : unsigned char { inner_end, outer_end, between };
  double height = std::numeric_limits<double>::infinity();
  double back = 0;
  std::size_t piece = 0;
  At at = At::inner_end;
};

/// The lowest over w in [w0, w1]. slope >= 0, 0 <= w0 <= w1 (and w1 <= pi A on a circular path).
Lowest lowest_behind(const Profile& profile, const Beside& beside, double slope, double w0, double w1);

}  // namespace ovolo
