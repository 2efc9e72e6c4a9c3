#include "sim/shop/section_marks.hpp"

#include <algorithm>
#include <cmath>

#include "sim/stock/stock_kind.hpp"

namespace ovolo {
namespace {

constexpr double kStep = 0.1;  // mm between places

/// A point of the section's outline and how upright the surface stands there.
struct Outline {
  Vec2 at;
  double upright;
};

double upright_of(Vec2 tangent) {
  const double y = std::fabs(tangent.y);
  return y < 1e-9 ? 0 : y;
}

std::vector<Outline> outline_of(const SectionPiece& piece) {
  std::vector<Outline> out;
  if (piece.kind == SectionPiece::Kind::curve) {
    for (std::size_t i = 0; i < piece.points.size(); ++i) {
      const Vec2 a = piece.points[i > 0 ? i - 1 : 0],
                 b = piece.points[std::min(i + 1, piece.points.size() - 1)];
      const double chord = distance(a, b);
      out.push_back({piece.points[i], chord > 0 ? upright_of((b - a) / chord) : 0});
    }
    return out;
  }
  const double length = piece.shape.length();
  const int n = std::max(1, static_cast<int>(std::ceil(length / kStep)));
  for (int i = 0; i <= n && length > 0; ++i) {
    const double s = length * i / n;
    out.push_back({piece.shape.point(s), upright_of(piece.shape.tangent(s))});
  }
  return out;
}

}  // namespace

CurveMarks section_marks(const Job& job, const Plan& plan, const Section& section, const SectionLine& line,
                         double runout, int bands) {
  std::vector<MarkPlace> places;
  std::vector<MarkSettings> cuts;
  for (const SectionPiece& piece : section.pieces) {
    if (piece.face == SectionFace::top || piece.move < 0) break;
    const Move& move = plan.moves[static_cast<std::size_t>(piece.move)];
    const bool marks = move.region < 0 && move.feed > 0 && move.spindle > 0;
    const std::size_t cut = cuts.size();
    cuts.push_back({move.feed, move.spindle, job.bits[move.bit].flutes, runout, std::nullopt});
    for (const Outline& o : outline_of(piece)) {
      const Vec2 p = line.origin + o.at.x * line.normal;
      const double s_path = marks ? move.path.nearest(p) : 0;
      const Vec2 from_axis = marks ? p - move.path.point(s_path) : Vec2{};
      if (marks && !cuts[cut].direction && length(from_axis) > 0)
        cuts[cut].direction = (cross(move.path.tangent(s_path), from_axis) > 0) != turned_over(move.set_up)
                                  ? Direction::conventional
                                  : Direction::climb;
      const double s = places.empty() ? 0 : places.back().s + distance(places.back().at, o.at);
      places.push_back({s, o.at, length(from_axis), marks ? o.upright : 0, cut});
    }
  }
  return curve_marks(places, cuts, bands);
}

}  // namespace ovolo
