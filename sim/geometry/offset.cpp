#include "sim/geometry/offset.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "sim/geometry/chain.hpp"

namespace ovolo {
namespace {

constexpr double kNothing = 1e-10;  // smaller distances and turns' arcs are none

// A mitre's corner, the feet of its two sides and its tip: the area the mitre adds to the round's.
struct Mitre {
  std::array<Vec2, 4> around;
  // How deep p lies inside; negative outside.
  double depth(Vec2 p) const {
    double least = 1e300, most = -1e300;
    for (std::size_t i = 0; i < around.size(); ++i) {
      const Vec2 side = around[(i + 1) % around.size()] - around[i];
      const double height = cross(side, p - around[i]) / length(side);
      least = std::min(least, height);
      most = std::max(most, height);
    }
    return std::max(least, -most);  // whichever way round the corners run
  }
};

class Offset {
 public:
  Offset(const Contour& contour, double d, const OffsetOptions& options)
      : contour_(contour),
        d_(d),
        options_(options),
        // Pieces are kept when they are at the distance, within the rounding of pieces that run side by side.
        slack_(std::min(1e-7, 1e-3 * std::abs(d))) {}

  std::vector<Contour> run() {
    gather();
    std::vector<Box2> boxes;
    for (const Mitre& m : mitres_) {
      boxes.emplace_back();
      for (const Vec2 p : m.around) boxes.back().add(p);
    }
    mitre_tree_ = BoxTree(std::move(boxes));
    return chain_pieces(raw_, [this](Vec2 p) { return keeps(p); });
  }

 private:
  const Contour& contour_;
  double d_;
  OffsetOptions options_;
  double slack_;
  std::vector<ChainPiece> raw_;
  std::vector<Mitre> mitres_;
  BoxTree mitre_tree_;
  bool wanted_ = true;

  bool keeps(Vec2 p) const {
    if (contour_.nearest(p).distance < std::abs(d_) - slack_) return false;
    return !mitre_tree_.any({p, p}, [&](std::uint32_t i) { return mitres_[i].depth(p) > slack_; });
  }

  // A piece is of no use when even its middle is too near by more than half its length.
  void add(const Segment& s) {
    const double half = 0.5 * s.length();
    if (contour_.nearest(s.point(half)).distance + half < std::abs(d_) - slack_) return;
    raw_.push_back({s, wanted_});
  }

  // Every piece that the result can be made of: the segments' parallels and the rounds or mitres of corners
  // that open. Corners that close need nothing: the parallels run on beyond where they cross and are cut
  // there. An open contour is gone round, there and back, so that all pieces join to loops; only the way
  // there is wanted.
  void gather() {
    const std::vector<Segment>& segments = contour_.segments();
    if (contour_.closed()) {
      along(segments);
      corner(segments.back(), segments.front());
      return;
    }
    along(segments);
    wanted_ = false;
    cap(segments.back());
    const Contour back = contour_.reversed();
    along(back.segments());
    cap(back.segments().back());
  }

  void along(const std::vector<Segment>& segments) {
    for (std::size_t i = 0; i < segments.size(); ++i) {
      if (i > 0) corner(segments[i - 1], segments[i]);
      if (!segments[i].offset_exists(d_)) continue;
      const Segment parallel = segments[i].offset_left(d_);
      if (parallel.length() > kNothing) add(parallel);
    }
  }

  void cap(const Segment& last) {
    const Vec2 normal = d_ * perp(last.tangent(last.length()));
    add(Segment::arc(last.b, std::abs(d_), angle_of(normal), d_ > 0 ? -std::numbers::pi : std::numbers::pi));
  }

  void corner(const Segment& before, const Segment& after) {
    const Vec2 t0 = before.tangent(before.length());
    const Vec2 t1 = after.tangent(0);
    const Vec2 n0 = d_ * perp(t0);
    const Vec2 n1 = d_ * perp(t1);
    double turn = std::atan2(cross(t0, t1), dot(t0, t1));
    const bool back = std::abs(turn) > std::numbers::pi - 1e-9;
    // A corner that turns back on itself may open to either side; the distance decides.
    if (back) turn = d_ > 0 ? -std::abs(turn) : std::abs(turn);
    if (turn * d_ >= 0 || std::abs(turn * d_) <= kNothing) return;
    const Vec2 at = before.b;
    const double tip = 1 / std::cos(0.5 * turn);  // in offsets from the corner
    if (options_.join == Join::mitre && !back && tip <= options_.mitre_limit) {
      const Vec2 point = at + (tip * tip / 2) * (n0 + n1);
      if (distance(at + n0, point) > kNothing) {
        mitres_.push_back({{at, at + n0, point, at + n1}});
        add(Segment::line(at + n0, point));
        add(Segment::line(point, at + n1));
        return;
      }
    }
    Segment round = Segment::arc(at, std::abs(d_), angle_of(n0), turn);
    round.a = at + n0;
    round.b = at + n1;
    add(round);
  }
};

}  // namespace

std::vector<Contour> offset_left(const Contour& contour, double d, const OffsetOptions& options) {
  if (std::abs(d) <= kNothing) return {contour};
  return Offset(contour, d, options).run();
}

std::vector<Contour> offset_outward(const Contour& contour, double d, const OffsetOptions& options) {
  return offset_left(contour, contour.signed_area() > 0 ? -d : d, options);
}

}  // namespace ovolo
