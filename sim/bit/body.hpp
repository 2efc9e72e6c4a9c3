#pragma once
#include <vector>

#include "sim/job.hpp"

namespace ovolo {

/// A whole bit as a region of its half plane (r, h), mm, closed: {0 <= r <= width(h), h >= 0}. Its outline is
/// the cutting chain from the axis up; above the chain's end the shank, when the bit's cutting length and
/// shank diameter are told, else the chain's last radius, without end. A bit's profile without a hollow tip.
class BitBody {
 public:
  explicit BitBody(const Bit& bit);

  /// The height above which the bit does not cut: where its neck begins, else its cutting length; +inf when
  /// all of it does.
  double cutting_height() const { return cutting_height_; }
  /// Only what lies below, or above, that height; it must be finite.
  BitBody cutting_part() const;
  BitBody idle_part() const;

  /// The outline from the tip on the axis up to `top()`: lines and arcs, each monotone in r and h, h never
  /// falling. From there it goes straight up at `top_radius()`
  /// without end; a radius of 0 there closes it.
  const std::vector<Segment>& outline() const { return outline_; }
  double top() const { return outline_.back().b.y; }
  double top_radius() const { return outline_.back().b.x; }
  /// Radius of the widest place.
  double reach() const { return reach_; }
  /// Does it nowhere become narrower on the way up?
  bool widens() const { return widens_; }

  /// The radius at height h, the largest where the outline is level there; 0 below the tip.
  double width(double h) const;
  /// Signed distance from the outline, negative inside; r of either sign.
  double distance(Vec2 rh) const;

 private:
  BitBody() = default;
  std::vector<Segment> outline_;
  double cutting_height_ = 0;
  double reach_ = 0;
  bool widens_ = false;
};

}  // namespace ovolo
