#include "render/labels.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ovolo::render {

std::string mm_text(double mm) { return fmt::format("{:.3f} mm", mm); }
std::string inch_text(double mm) { return fmt::format("{:.4f} in", mm / 25.4); }
std::string length_text(double mm) { return fmt::format("{} ({})", mm_text(mm), inch_text(mm)); }
std::string angle_text(double radians) {
  return fmt::format("{:.1f}\u00b0", radians * 180 / std::numbers::pi);
}

double round_below(double value) {
  if (!(value > 0) || !std::isfinite(value)) return 1;
  const double power = std::pow(10.0, std::floor(std::log10(value)));
  const double lead = value / power;
  return (lead >= 5 ? 5 : lead >= 2 ? 2 : 1) * power;
}

std::string plain(double value) { return fmt::format("{:.6g}", value); }

double bar_length(double most, bool inch) {
  return inch ? 25.4 * round_below(most / 25.4) : round_below(most);
}

void scale_bar(Canvas& canvas, Vec2 at, double length, double scale, bool inch, bool halo) {
  constexpr int kPieces = 4;
  constexpr double kHeight = 6;
  const double step = length * scale / kPieces;
  if (halo) {
    canvas.rectangle({{at.x - 2, at.y - 2}, {at.x + kPieces * step + 2, at.y + kHeight + 2}},
                     {kPaper, "", 1, false}, no_stroke());
  }
  for (int i = 0; i < kPieces; ++i) {
    canvas.rectangle({{at.x + i * step, at.y}, {at.x + (i + 1) * step, at.y + kHeight}},
                     {i % 2 == 0 ? kInk : kPaper, "", 1, false}, {kInk, 1, "", 1});
  }
  TextStyle style;
  style.size = 12;
  style.halo = halo;
  const std::string mm = plain(std::round(length * 1e4) / 1e4) + " mm",
                    in = fmt::format("{:.3g} in", length / 25.4);
  canvas.text({at.x, at.y + kHeight + 15},
              inch ? fmt::format("{} ({})", in, mm) : fmt::format("{} ({})", mm, in), style);
}

namespace {

bool segments_cross(Vec2 a, Vec2 b, Vec2 c, Vec2 d) {
  const auto side = [](Vec2 p, Vec2 q, Vec2 r) { return cross(q - p, r - p) > 0; };
  return side(a, b, c) != side(a, b, d) && side(c, d, a) != side(c, d, b);
}

bool segment_meets(const PixelBox& box, Vec2 a, Vec2 b) {
  const PixelBox at_a{a, a};
  if (at_a.inside(box)) return true;
  const Vec2 c[] = {box.lo, {box.hi.x, box.lo.y}, box.hi, {box.lo.x, box.hi.y}};
  for (int i = 0; i < 4; ++i) {
    if (segments_cross(a, b, c[i], c[(i + 1) % 4])) return true;
  }
  return false;
}

}  // namespace

Vec2 leader_end(const PixelBox& box, Vec2 anchor) {
  return {std::clamp(anchor.x, box.lo.x, box.hi.x), std::clamp(anchor.y, box.lo.y, box.hi.y)};
}

std::optional<PixelBox> LabelPlacer::place(Vec2 anchor, Vec2 size, double gap, double reach, double toward) {
  auto box = find(anchor, size, gap, reach, toward, true);
  if (!box && !soft_.empty()) box = find(anchor, size, gap, reach, toward, false);
  if (box) {
    taken_.push_back(*box);
    lines_.push_back({anchor, leader_end(*box, anchor)});
  }
  return box;
}

std::optional<PixelBox> LabelPlacer::find(Vec2 anchor, Vec2 size, double gap, double reach, double toward,
                                          bool mind_soft) const {
  constexpr int kDirections = 24;
  constexpr double kTurn = 2 * std::numbers::pi / kDirections;
  struct Candidate {
    double away;
    int turns;
    double cost;
  };
  std::vector<Candidate> candidates;
  for (double away = gap; away <= reach; away += std::max(6.0, gap / 2)) {
    for (int k = -kDirections / 2; k < kDirections / 2; ++k) {
      // Going a label's height farther costs as much as turning by 40 degrees.
      candidates.push_back({away, k, away + size.y * std::abs(k) * kTurn / 0.7});
    }
  }
  std::stable_sort(candidates.begin(), candidates.end(),
                   [](const Candidate& a, const Candidate& b) { return a.cost < b.cost; });
  for (const Candidate& candidate : candidates) {
    const double away = candidate.away;
    const Vec2 d = unit(toward + candidate.turns * kTurn);
    const Vec2 centre = anchor + Vec2{d.x * (away + size.x / 2), -d.y * (away + size.y / 2)};
    const PixelBox box{centre - size / 2, centre + size / 2};
    if (!box.inside(area_)) continue;
    const Vec2 end = leader_end(box, anchor);
    const auto covered = [&](const PixelBox& t) { return t.overlaps(box); };
    const auto blocks = [&](const PixelBox& t) {
      // The anchor's own mark may be among what stays clear; leaders may leave it.
      return covered(t) || (!PixelBox{anchor, anchor}.inside(t) && segment_meets(t, end, anchor));
    };
    const auto bad_line = [&](const Line& l) {
      if (segment_meets(box, l.a, l.b)) return true;
      const bool own = Segment::line(l.a, l.b).distance(anchor) < 2;  // likewise a line it sits on
      return !own && segments_cross(l.a, l.b, anchor, end);
    };
    if (mind_soft && std::any_of(soft_.begin(), soft_.end(), covered)) continue;
    if (std::any_of(taken_.begin(), taken_.end(), blocks)) continue;
    if (std::any_of(lines_.begin(), lines_.end(), bad_line)) continue;
    return box;
  }
  return std::nullopt;
}

}  // namespace ovolo::render
