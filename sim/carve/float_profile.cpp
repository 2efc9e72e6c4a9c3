#include "sim/carve/float_profile.hpp"

#include <algorithm>
#include <cmath>

namespace ovolo {
namespace {

constexpr double kShallow = 60;    // mm, arcs of the profile above this are told by differences
constexpr double kUpright = 1e-4;  // mm^2, far more than rounding makes of a root's square

FloatPiece float_piece(const Profile::Piece& piece) {
  using Kind = FloatPiece::Kind;
  FloatPiece p;
  p.r1 = static_cast<float>(piece.r1);
  if (piece.side == 0) {
    const double slope = (piece.h1 - piece.h0) / (piece.r1 - piece.r0);
    p.kind = piece.h1 == piece.h0 ? Kind::level : Kind::cone;
    p.base = static_cast<float>(piece.h0 - slope * piece.r0);
    p.slope = static_cast<float>(slope);
    return p;
  }
  const Segment& arc = piece.curve;
  p.side = static_cast<float>(piece.side);
  if (arc.radius < kShallow) {
    p.kind = Kind::arc;
    p.base = static_cast<float>(arc.centre.y);
    p.centre = static_cast<float>(arc.centre.x);
    p.radius2 = static_cast<float>(arc.radius * arc.radius);
    const double u0 = piece.r0 - arc.centre.x, u1 = piece.r1 - arc.centre.x;
    p.steep = std::max(u0 * u0, u1 * u1) > arc.radius * arc.radius - kUpright;
  } else {
    p.kind = Kind::shallow;
    p.base = static_cast<float>(piece.h0);
    p.inner = static_cast<float>(piece.r0);
    p.twice_in = static_cast<float>(2 * (arc.centre.x - piece.r0));
    p.upright = static_cast<float>(std::abs(piece.h0 - arc.centre.y));
  }
  return p;
}

}  // namespace

FloatProfile::FloatProfile(const Profile& profile) : reach(profile.cutting_radius()) {
  const Profile::Piece* before = nullptr;
  for (const Profile::Piece& piece : profile.pieces()) {
    pieces.push_back(float_piece(piece));
    pieces.back().goes_on = before && std::abs(before->h1 - piece.h0) < 1e-7;
    r1.push_back(piece.r1);
    before = &piece;
  }
}

}  // namespace ovolo
