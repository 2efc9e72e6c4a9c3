#pragma once
#include <array>
#include <optional>

#include "io/program/arc.hpp"

namespace ovolo::io {

/// Cutter radius compensation in the XY plane (NISTIR 6556, appendix B): the path of the tool's centre that
/// keeps the tool's circle touching the programmed path, on its left (G41) or right (G42). Lengths mm.
class CutterCompensation {
 public:
  enum class Side : std::uint8_t { off, left, right };

  /// One piece of the centre's path; an arc when it has a shape.
  struct Piece {
    Vec2 end;
    std::optional<ArcShape> arc;
  };
  /// What one programmed move becomes: up to an arc around a corner, then the move itself.
  struct Path {
    std::array<Piece, 2> pieces;
    int count = 0;
    void add(Vec2 end, std::optional<ArcShape> arc = {}) {
      pieces[static_cast<std::size_t>(count++)] = {end, arc};
    }
  };
  /// A programmed arc: its centre or, in radius form, its signed radius.
  struct ArcWords {
    Vec2 end;
    std::optional<Vec2> centre;
    double radius = 0;
    bool clockwise = false;
  };

  /// A negative radius (a tool smaller than the path was made for) changes sides. The next move is an entry
  /// move.
  void start(Side side, double radius);
  void stop() { side_ = Side::off; }
  bool on() const { return side_ != Side::off; }
  Side side() const { return side_; }
  /// The point the program is at; the tool's centre until a first move has been made.
  Vec2 programmed(Vec2 centre_now) const { return programmed_ ? *programmed_ : centre_now; }

  /// The centre's path for a straight move from where it is. `rapid` goes straight, without an arc at a
  /// corner. Throws ProgramError at a concave corner, and for an entry move shorter than the radius.
  Path line(Vec2 centre_now, Vec2 to, bool rapid, LineColumn at);
  /// Throws ProgramError too when the tool does not fit into the arc or the entry arc cannot be made.
  Path arc(Vec2 centre_now, const ArcWords& words, double tolerance, LineColumn at);

 private:
  double side_sign() const { return side_ == Side::left ? 1 : -1; }
  /// Arc around the programmed point that turns the tool's circle to the new normal, where the corner is
  /// convex.
  void turn_corner(Path& path, Vec2 normal, LineColumn at) const;

  Side side_ = Side::off;
  double radius_ = 0;  // >= 0
  std::optional<Vec2> programmed_;
  Vec2 normal_;  // unit, from the programmed path to the tool's centre
};

}  // namespace ovolo::io
