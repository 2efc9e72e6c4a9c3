#pragma once
#include <string>
#include <vector>

#include "io/drawing/affine.hpp"
#include "io/drawing/drawing.hpp"
#include "sim/geometry/fit_arcs.hpp"

namespace ovolo::io {

/// Collects what a drawing's elements draw as chains of lines and arcs in mm. Points are given in the
/// drawing's own units and mapped by the current matrix; circles stay true arcs wherever the map allows it.
/// Throws std::invalid_argument on what cannot be drawn (not a number, beyond 100 m, too many pieces).
class ChainBuilder {
 public:
  explicit ChainBuilder(double tolerance) : tolerance_(tolerance) {}

  /// What follows belongs to this element.
  void element(const Affine& map, const Source& at, const std::string& name);
  void move_to(Vec2 p);
  void line_to(Vec2 p);
  void quadratic_to(Vec2 c, Vec2 p);
  void cubic_to(Vec2 c1, Vec2 c2, Vec2 p);
  /// Along the ellipse from the current point, ending at p to the bit; p equal to the start is a whole turn.
  void ellipse_to(const EllipseArc& arc, Vec2 p);
  /// A circular arc with bulge = tan(sweep / 4).
  void bulge_to(Vec2 p, double bulge);
  /// A whole spline as a chain of its own.
  void spline(const SplineCurve& curve);
  /// A line back to the chain's start where one is wanted; the chain is closed.
  void close();
  /// Ends the current chain.
  void end();
  std::vector<DrawnChain> take();
  std::size_t pieces() const { return count_; }

 private:
  Vec2 map(Vec2 p) const;
  void add(const std::vector<Segment>& fitted, Vec2 to);
  void add(const Segment& s);

  double tolerance_;
  Affine map_;
  Source at_;
  std::string name_;
  Vec2 start_, here_;  // mm
  Vec2 user_;          // the current point in the drawing's units
  DrawnChain chain_;
  std::vector<DrawnChain> chains_;
  std::size_t count_ = 0;
};

}  // namespace ovolo::io
