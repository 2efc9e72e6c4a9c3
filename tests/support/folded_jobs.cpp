#include "tests/support/folded_jobs.hpp"

namespace ovolo::test {

Bit bit_of(std::string form, Profile profile) {
  Bit bit;
  bit.id = form;
  bit.form = std::move(form);
  bit.profile = std::move(profile);
  return bit;
}

Job board(double thickness) {
  Job job;
  job.title = "board";
  job.stock.width = 400;
  job.stock.height = 250;
  job.stock.layers = {{"board", thickness, {}}};
  NamedContour named;
  named.id = "line";
  named.contour = Contour({Segment::line({0, 100}, {400, 100})}, false);
  job.contours.push_back(named);
  return job;
}

Operation pass_along(std::uint32_t bit, double depth, double offset) {
  Operation op;
  op.name = "pass";
  op.bit = bit;
  op.contour = 0;
  op.keep = Keep::left;
  op.depth = depth;
  op.passes = {depth};
  op.offset = offset;
  op.overrun = 60;
  op.feed = 2000;
  op.spindle = 16000;
  return op;
}

std::vector<Vec2> polygon_of(const std::vector<SectionPiece>& pieces, int per_arc) {
  std::vector<Vec2> out;
  for (const SectionPiece& p : pieces) {
    if (out.empty()) out.push_back(p.start());
    if (p.kind == SectionPiece::Kind::arc)
      for (int i = 1; i < per_arc; ++i) out.push_back(p.shape.point(p.shape.length() * i / per_arc));
    if (p.kind == SectionPiece::Kind::curve) out.insert(out.end(), p.points.begin() + 1, p.points.end() - 1);
    out.push_back(p.end());
  }
  return out;
}

bool inside(const std::vector<Vec2>& polygon, Vec2 p) {
  bool in = false;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Vec2 a = polygon[i], b = polygon[(i + 1) % polygon.size()];
    if ((a.y > p.y) == (b.y > p.y)) continue;
    if (p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)) in = !in;
  }
  return in;
}

}  // namespace ovolo::test
