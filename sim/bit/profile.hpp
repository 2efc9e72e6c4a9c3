#pragma once
#include <limits>
#include <vector>

#include "sim/geometry/segment.hpp"

namespace ovolo {

/// The parts of a segment, cut where an arc turns over, so that each is monotone in x and y. Ends stay as
/// given, to the bit.
std::vector<Segment> monotone_parts(const Segment& piece);

/// The half profile of a form tool: a chain of lines and arcs in (r, h), mm, r the radius from the axis and h
/// the height above the tip, from the axis upwards to the end of the cutting length. Level chain pieces are
/// flats, upright ones cutting walls. The shape below height(r) is what a level sweep leaves.
class Profile {
 public:
  /// One monotone piece of height(r): a line or an arc whose r runs from r0 to r1 > r0 and whose h never
  /// falls.
  struct Piece {
    Segment curve;  ///< a.x == r0, b.x == r1
    double r0, r1;
    double h0, h1;
    double side = 0;  ///< arcs: h = centre.y + side * sqrt(radius^2 - (r - centre.x)^2); 0 for lines
    double height(double r) const;
    double slope(double r) const;
  };

  Profile() = default;
  /// The chain starts on the axis (r = 0) and stays at r >= 0. Throws std::invalid_argument, saying what and
  /// where, on a gap over 1e-6 mm, a non-finite value, r < 0, an empty chain or one that does not start at r
  /// = 0.
  explicit Profile(std::vector<Segment> chain);

  const std::vector<Segment>& chain() const { return chain_; }
  /// Pieces of height(r) in order of r; between them height may jump up (an upright wall).
  const std::vector<Piece>& pieces() const { return pieces_; }

  /// f(r): the lowest h at which the bit is at least r wide; +inf beyond the cutting radius. r >= 0.
  double height(double r) const;
  /// df/dr from the right (toward larger r); +inf at a wall.
  double slope(double r) const;
  /// Index of the piece holding r (the left one at a shared end); -1 beyond the cutting radius.
  int piece_at(double r) const;

  double cutting_radius() const { return radius_; }
  /// Radius of the level flat at the tip, 0 when there is none.
  double tip_flat_radius() const { return flat_; }
  /// Height of the highest point of height(r): where the form's curve ends and the upright wall begins.
  double form_height() const { return form_height_; }
  /// True when r falls anywhere on the way up: a heightfield cannot hold the cut.
  bool undercut() const { return undercut_; }
  /// True when h falls as r grows anywhere near the tip: exact for through moves only, wrong for plunges.
  bool hollow_tip() const { return hollow_; }

 private:
  std::vector<Segment> chain_;
  std::vector<Piece> pieces_;
  double radius_ = 0, flat_ = 0, form_height_ = 0;
  bool undercut_ = false, hollow_ = false;
};

}  // namespace ovolo
