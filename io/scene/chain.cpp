#include <fmt/format.h>

#include <array>
#include <cmath>
#include <utility>

#include "io/scene/parts.hpp"
#include "io/scene/table.hpp"

namespace ovolo::io {
namespace {

constexpr std::array<std::string_view, 2> kTurns{"left", "right"};
constexpr double kArcGap = 0.002;  // mm, how far the two end radii of an arc may differ (as in RS274/NGC)

std::string point_text(Vec2 p, Units units) {
  return fmt::format("[{}, {}]", format_number(from_mm(p.x, units), 4),
                     format_number(from_mm(p.y, units), 4));
}

// { to = [x, y], center = [x, y], turn = "left" }
std::optional<Segment> arc_about(Table& table, Vec2 from, Vec2 to, Vec2 centre, bool left) {
  const Units units = table.reading().units;
  const double r0 = distance(from, centre), r1 = distance(to, centre);
  if (std::abs(r0 - r1) > kArcGap || r0 < kArcGap) {
    table.fault("center",
                fmt::format("the arc's center is {} from its start {} and {} from its end {}; give a center "
                            "as far from both",
                            format_length(r0, units), point_text(from, units), format_length(r1, units),
                            point_text(to, units)));
    return {};
  }
  return Segment::arc_between(from, to, centre, left);
}

// { to = [x, y], radius = 20, turn = "left" }: the arc of half a turn at most.
std::optional<Segment> arc_of(Table& table, Vec2 from, Vec2 to, double radius, bool left) {
  const Units units = table.reading().units;
  const double half = distance(from, to) / 2;
  if (half == 0 || radius < half - kArcGap / 2) {
    table.fault("radius",
                half == 0 ? std::string("an arc given by its radius cannot end where it starts; give its "
                                        "center instead")
                          : fmt::format("the radius {} is too small to reach from {} to {}; set it to {} or "
                                        "more",
                                        format_length(radius, units), point_text(from, units),
                                        point_text(to, units), format_length(half, units)));
    return {};
  }
  const double rise = std::sqrt(std::fmax(0.0, radius * radius - half * half));
  const Vec2 aside = perp(normalized(to - from)) * rise;
  return Segment::arc_between(from, to, 0.5 * (from + to) + (left ? aside : -aside), left);
}

// The piece from `at` to the point that the node names. `at` moves on to that point, to nothing when it
// cannot be read; a piece without a start is read for its own faults only.
std::optional<Segment> read_piece(const Node& node, const std::string& what, std::optional<Vec2>& at,
                                  Reading& reading) {
  const std::optional<Vec2> from = std::exchange(at, std::nullopt);
  if (node.is_list()) {
    at = read_point(node, what, Range::any(), reading);
    return from && at ? std::optional(Segment::line(*from, *at)) : std::nullopt;
  }
  if (!node.is_table()) {
    reading.fault(node.at,
                  fmt::format("{} is {}; write a point [x, y], or {{ to = [x, y], bulge = 0.4 }} for an arc",
                              what, node.kind_name()));
    return {};
  }
  Table table(node, what, reading);
  constexpr double kMostBulge = 1e4;
  at = table.point("to", Range::any(), Need::yes);
  const auto bulge = table.number("bulge", Range::between(-kMostBulge, kMostBulge));
  const auto centre = table.point("center", Range::any());
  const auto radius = table.length("radius", Range::positive());
  const bool turns = table.has("center") || table.has("radius");
  const auto turn = table.choice("turn", kTurns, turns ? Need::yes : Need::no);
  table.finish();
  const int ways = table.has("bulge") + table.has("center") + table.has("radius");
  if (ways > 1 || (table.has("turn") && !turns)) {
    reading.fault(
        node.at,
        fmt::format("{} must say its arc in one way; give `bulge`, or `center` and `turn`, or `radius` "
                    "and `turn`",
                    what));
    return {};
  }
  if (!from || !at) return {};
  if (ways == 0) return Segment::line(*from, *at);
  if (bulge) return Segment::bulge(*from, *at, *bulge);
  if (centre && turn) return arc_about(table, *from, *at, *centre, *turn == 0);
  if (radius && turn) return arc_of(table, *from, *at, *radius, *turn == 0);
  return {};
}

}  // namespace

std::vector<Segment> read_chain(const Node::List& list, const std::string& what, Reading& reading) {
  std::vector<Segment> chain;
  std::optional<Vec2> at;
  for (std::size_t i = 0; i < list.size(); ++i) {
    const std::string name = fmt::format("point {} of {}", i + 1, what);
    if (i == 0)
      at = read_point(list[i], name, Range::any(), reading);
    else if (const auto piece = read_piece(list[i], name, at, reading))
      chain.push_back(*piece);
  }
  return chain.size() + 1 == list.size() ? chain : std::vector<Segment>{};
}

}  // namespace ovolo::io
