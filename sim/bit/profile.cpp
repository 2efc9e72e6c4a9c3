#include "sim/bit/profile.hpp"
#include "sim/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace ovolo {
namespace {

constexpr double kJoin = 1e-6;  // mm, largest gap between chain pieces
constexpr double kFlat = 1e-9;  // mm, below this a rise or a run counts as none

Profile::Piece level_piece(double r0, double r1, double h) {
  return {Segment::line({r0, h}, {r1, h}), r0, r1, h, h, 0};
}

Profile::Piece make_piece(const Segment& curve) {
  Profile::Piece p{curve, curve.a.x, curve.b.x, curve.a.y, curve.b.y, 0};
  if (curve.is_arc()) p.side = curve.point(curve.length() / 2).y >= curve.centre.y ? 1 : -1;
  return p;
}

// The r-range [r0, r1] of a piece.
Profile::Piece clipped(const Profile::Piece& p, double r0, double r1) {
  const Vec2 a{r0, r0 == p.r0 ? p.h0 : p.height(r0)}, b{r1, r1 == p.r1 ? p.h1 : p.height(r1)};
  if (!p.curve.is_arc()) return {Segment::line(a, b), r0, r1, a.y, b.y, 0};
  Segment arc = Segment::arc_between(a, b, p.curve.centre, p.curve.sweep > 0);
  arc.radius = p.curve.radius;
  return {arc, r0, r1, a.y, b.y, p.side};
}

double piece_r_at(const Profile::Piece& p, double h) {
  if (!p.curve.is_arc()) return p.r0 + (h - p.h0) / (p.h1 - p.h0) * (p.r1 - p.r0);
  const Vec2 c = p.curve.centre;
  const double d = std::sqrt(std::max(0.0, p.curve.radius * p.curve.radius - (h - c.y) * (h - c.y)));
  return std::clamp(p.r0 + p.r1 > 2 * c.x ? c.x + d : c.x - d, p.r0, p.r1);
}

// A point at distance d from a passing bit's axis is met by all that is at least d wide, so height never
// falls.
void raise_never_falls(std::vector<Profile::Piece>& pieces) {
  std::vector<Profile::Piece> out;
  double lowest = std::numeric_limits<double>::infinity();
  for (auto it = pieces.rbegin(); it != pieces.rend(); ++it) {
    const Profile::Piece& p = *it;
    if (p.h1 < p.h0) {
      lowest = std::min(lowest, p.h1);
      out.push_back(level_piece(p.r0, p.r1, lowest));
    } else if (lowest <= p.h0) {
      out.push_back(level_piece(p.r0, p.r1, lowest));
    } else if (lowest < p.h1) {
      const double r = piece_r_at(p, lowest);
      out.push_back(level_piece(r, p.r1, lowest));
      out.push_back(clipped(p, p.r0, r));
      lowest = p.h0;
    } else {
      out.push_back(p);
      lowest = p.h0;
    }
  }
  std::reverse(out.begin(), out.end());
  pieces.clear();
  for (const auto& p : out) {
    const bool flat = std::abs(p.h1 - p.h0) < kFlat;
    if (!pieces.empty() && flat && pieces.back().h0 == pieces.back().h1 &&
        std::abs(pieces.back().h1 - p.h0) < kFlat)
      pieces.back() = level_piece(pieces.back().r0, p.r1, pieces.back().h0);
    else
      pieces.push_back(p);
  }
}

}  // namespace

std::vector<Segment> monotone_parts(const Segment& piece) {
  if (!piece.is_arc()) return {piece};
  std::vector<double> cuts{0};
  const double quarter = std::numbers::pi / 2;
  const double from = piece.angle, to = piece.angle + piece.sweep;
  const double lo = std::min(from, to), hi = std::max(from, to);
  for (double k = std::ceil(lo / quarter); k * quarter <= hi; k += 1) {
    const double part = std::abs(k * quarter - from);
    if (part > 1e-12 && part < std::abs(piece.sweep) - 1e-12) cuts.push_back(part);
  }
  cuts.push_back(std::abs(piece.sweep));
  std::sort(cuts.begin(), cuts.end());
  std::vector<Segment> parts;
  const double sign = piece.sweep < 0 ? -1 : 1;
  for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
    if (cuts[i + 1] - cuts[i] < 1e-12) continue;
    parts.push_back(
        Segment::arc(piece.centre, piece.radius, from + sign * cuts[i], sign * (cuts[i + 1] - cuts[i])));
  }
  if (!parts.empty()) {  // the ends stay as given, to the bit
    parts.front().a = piece.a;
    parts.back().b = piece.b;
  }
  return parts;
}

double Profile::Piece::height(double r) const {
  if (side == 0) return r1 > r0 ? h0 + (h1 - h0) * ((r - r0) / (r1 - r0)) : h0;
  const double d = r - curve.centre.x;
  return curve.centre.y + side * std::sqrt(std::max(0.0, curve.radius * curve.radius - d * d));
}

double Profile::Piece::slope(double r) const {
  if (side == 0) return (h1 - h0) / (r1 - r0);
  const double d = r - curve.centre.x;
  const double root = std::sqrt(std::max(0.0, curve.radius * curve.radius - d * d));
  return -side * d / root;
}

Profile::Profile(std::vector<Segment> chain) : chain_(std::move(chain)) {
  if (chain_.empty())
    throw std::invalid_argument("the bit's profile has no pieces; give at least one line or arc");
  for (std::size_t i = 0; i < chain_.size(); ++i) {
    const Segment& s = chain_[i];
    if (!std::isfinite(s.a.x + s.a.y + s.b.x + s.b.y + s.radius + s.sweep))
      throw std::invalid_argument(fmt::format("piece {} of the bit's profile is not a number", i + 1));
    const Box2 box = s.box();
    if (box.lo.x < -kFlat)
      throw std::invalid_argument(fmt::format(
          "piece {} of the bit's profile reaches r = {:.4f}, beyond the axis; keep r at 0 or more", i + 1,
          box.lo.x));
    if (i > 0 && distance(chain_[i - 1].b, s.a) > kJoin)
      throw std::invalid_argument(fmt::format(
          "the bit's profile has a gap of {} before piece {}, at r = {}, h = {}; join them",
          fine_units(distance(chain_[i - 1].b, s.a)), i + 1, fine_units(s.a.x), fine_units(s.a.y)));
  }
  if (std::abs(chain_.front().a.x) > kJoin)
    throw std::invalid_argument(fmt::format(
        "the bit's profile starts at r = {:.4f}; start it on the axis, at r = 0", chain_.front().a.x));

  double widest = 0;
  for (const Segment& segment : chain_) {
    for (const Segment& part : monotone_parts(segment)) {
      if (part.b.x < part.a.x - kFlat) undercut_ = true;
      if (part.b.x > part.a.x + kFlat && part.b.y < part.a.y - kFlat) hollow_ = true;
      if (part.b.x <= widest + kFlat) continue;
      Piece piece = make_piece(part);
      if (piece.r0 < widest - kFlat) piece = clipped(piece, widest, piece.r1);
      widest = piece.r1;
      pieces_.push_back(piece);
    }
  }
  if (pieces_.empty())
    throw std::invalid_argument("the bit's profile has no width; let r grow on the way up");
  if (hollow_) raise_never_falls(pieces_);
  radius_ = pieces_.back().r1;
  form_height_ = pieces_.back().h1;
  const Piece& first = pieces_.front();
  if (std::abs(first.h1 - first.h0) < kFlat && std::abs(first.h0) < kFlat) flat_ = first.r1;
}

int Profile::piece_at(double r) const {
  if (!(r <= radius_)) return -1;
  const auto it =
      std::lower_bound(pieces_.begin(), pieces_.end(), r, [](const Piece& p, double v) { return p.r1 < v; });
  return static_cast<int>(it - pieces_.begin());
}

double Profile::height(double r) const {
  const int i = piece_at(r);
  return i < 0 ? std::numeric_limits<double>::infinity() : pieces_[static_cast<std::size_t>(i)].height(r);
}

double Profile::slope(double r) const {
  constexpr double kWall = std::numeric_limits<double>::infinity();
  int i = piece_at(r);
  if (i < 0) return kWall;
  if (r == pieces_[static_cast<std::size_t>(i)].r1) {
    const double left = pieces_[static_cast<std::size_t>(i)].h1;
    ++i;
    if (static_cast<std::size_t>(i) == pieces_.size()) return kWall;
    if (pieces_[static_cast<std::size_t>(i)].h0 > left + kFlat) return kWall;
  }
  return pieces_[static_cast<std::size_t>(i)].slope(r);
}

}  // namespace ovolo
