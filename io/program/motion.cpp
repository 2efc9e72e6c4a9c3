#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "io/program/interpreter.hpp"

namespace ovolo::io {
namespace {

constexpr double kFarthest = 1e5;                  // mm; no sheet is larger
constexpr double kSlowest = 1e-3, kFastest = 1e6;  // mm/min; the highest as in scenes
constexpr double kLongestDwell = 24 * 60 * 60;     // s
constexpr double kNearlyRound = 359 * std::numbers::pi / 180;

double distance3(const Point3& a, const Point3& b) {
  return std::hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]);
}

}  // namespace

void Interpreter::move(const Block& block, int motion, LineColumn at) {
  if (!units_told_ && motion != 800) {
    units_told_ = true;
    logs_.warnings.add(
        "units-not-told",
        fmt::format("the program moves before G20 or G21 and is taken to be in {}: write G20 or G21 first",
                    state_.inch ? "inches" : "mm"),
        at);
  }
  switch (motion) {
    case 0:
    case 10:
      straight(block, motion == 0, at);
      break;
    case 20:
    case 30:
      circular(block, motion == 20, at);
      break;
    case 800:
      break;
    default:
      canned_cycle(block, motion, at);
      return;
  }
  state_.motion = motion;
}

Interpreter::Spot Interpreter::target(const Block& block) const {
  Spot out{where_, known_};
  if (compensation_.on()) {
    const Vec2 programmed = compensation_.programmed({where_[0], where_[1]});
    out.at[0] = programmed.x;
    out.at[1] = programmed.y;
  }
  for (std::size_t i = 0; i < 3; ++i) {
    const ProgramWord* word = block.axis(i);
    if (!word) continue;
    if (state_.incremental) {
      out.at[i] += word->value * unit();
    } else {
      out.at[i] = word->value * unit() + zero_of(i);
      out.known[i] = true;
    }
  }
  return out;
}

void Interpreter::require_known(LineColumn at) const {
  if (!std::all_of(known_.begin(), known_.end(), [](bool k) { return k; }))
    throw ProgramError(
        at,
        "this move begins at a place that is not known: go to a first point with G0 and all of X, Y "
        "and Z, or tell where the spindle starts (start = [x, y, z])");
}

double Interpreter::feed_for(double length, const Block& block, LineColumn at) const {
  if (!state_.inverse_time) {
    if (state_.feed > 0) return state_.feed;
    throw ProgramError(at, "no feed is set for this move: add F");
  }
  const ProgramWord* f = block.word('F');
  if (!f) throw ProgramError(at, "under G93 every line with a G1, G2 or G3 move needs its own F");
  if (f->value == 0)
    throw ProgramError(f->at, "under G93 an F of zero would never end: F is 1 over the minutes");
  if (length * f->value != 0) check_feed(length * f->value, f->at);
  return length * f->value;
}

void Interpreter::check_feed(double feed, LineColumn at) {
  if (feed >= kSlowest && feed <= kFastest) return;
  throw ProgramError(
      at,
      fmt::format("this comes to a feed of {:.3g} mm/min, and feeds here lie between 0.001 and 1,000,000: "
                  "correct F, or the units (G20, G21) and the feed mode (G93, G94)",
                  feed));
}

void Interpreter::check_dwell(double seconds, std::string_view what, LineColumn at) {
  if (seconds < 0) throw ProgramError(at, fmt::format("{} cannot be negative", what));
  if (seconds > kLongestDwell)
    throw ProgramError(at, fmt::format("{} come to more than a day: P counts seconds", what));
}

void Interpreter::straight(const Block& block, bool rapid, LineColumn at) {
  Spot spot = target(block);
  if (block.has_g(GGroup::once, 530)) {
    const LineColumn here = block.g(GGroup::once)->at;
    if (compensation_.on())
      throw ProgramError(here, "G53 cannot be used under G41 or G42: end them with G40 first");
    if (state_.incremental)
      throw ProgramError(here, "G53 goes to a place, which G91 (incremental) cannot give: select G90 first");
    const Point3& zero = machine_zero(here, "G53");
    for (std::size_t i = 0; i < 3; ++i) {
      if (const ProgramWord* word = block.axis(i)) {
        spot.at[i] = word->value * unit() - zero[i];
        spot.known[i] = true;
      }
    }
  }
  if (rapid && !compensation_.on()) {
    rapid_to(spot, at);
    return;
  }
  require_known(at);
  Pieces pieces;
  if (compensation_.on()) {
    const auto path = compensation_.line({where_[0], where_[1]}, {spot.at[0], spot.at[1]}, rapid, at);
    for (int i = 0; i < path.count; ++i)
      add_compensated(pieces, path.pieces[static_cast<std::size_t>(i)], i + 1 == path.count, spot.at[2]);
  } else {
    pieces.add(spot.at);
  }
  make(pieces, rapid ? 0 : feed_for(length_along(pieces), block, at), at);
}

void Interpreter::circular(const Block& block, bool clockwise, LineColumn at) {
  const PlaneAxes axes = axes_of(state_.plane);
  const char names[] = {'X', 'Y', 'Z'};
  if (!block.axis(axes.a) && !block.axis(axes.b))
    throw ProgramError(at, fmt::format("an arc needs its end point: add {} or {}",
                                       names[std::min(axes.a, axes.b)], names[std::max(axes.a, axes.b)]));
  const ProgramWord *radius = block.word('R'), *first = block.centre(axes.a), *second = block.centre(axes.b);
  if (const ProgramWord* off = block.centre(axes.c))
    throw ProgramError(
        off->at, fmt::format("{} has no meaning for an arc in this plane: remove it or select the plane "
                             "that is meant (G17, G18, G19)",
                             off->letter));
  if (radius && (first || second))
    throw ProgramError(radius->at, "an arc has either its radius R or its centre, not both: remove one");
  if (!radius && !first && !second)
    throw ProgramError(at, fmt::format("an arc needs its radius R or its centre: add {} and {}",
                                       static_cast<char>('I' + static_cast<int>(std::min(axes.a, axes.b))),
                                       static_cast<char>('I' + static_cast<int>(std::max(axes.a, axes.b)))));
  require_known(at);
  const Spot spot = target(block);
  Point3 base = where_;
  if (compensation_.on()) {
    const Vec2 programmed = compensation_.programmed({where_[0], where_[1]});
    base[0] = programmed.x;
    base[1] = programmed.y;
  }
  CutterCompensation::ArcWords words;
  words.end = axes.in_plane(spot.at);
  words.clockwise = clockwise;
  if (radius) {
    words.radius = radius->value * unit();
  } else {
    if (state_.arc_absolute && (!first || !second))
      throw ProgramError(at, "under G90.1 an arc needs both coordinates of its centre: add the missing one");
    const auto coordinate = [&](const ProgramWord* word, std::size_t axis) {
      const double value = word ? word->value * unit() : 0;
      return state_.arc_absolute ? value + zero_of(axis) : value + base[axis];
    };
    words.centre = Vec2{coordinate(first, axes.a), coordinate(second, axes.b)};
  }
  Pieces pieces;
  if (compensation_.on()) {
    const auto path = compensation_.arc({where_[0], where_[1]}, words, arc_tolerance(), at);
    for (int i = 0; i < path.count; ++i)
      add_compensated(pieces, path.pieces[static_cast<std::size_t>(i)], i + 1 == path.count, spot.at[2]);
  } else {
    const Vec2 start = axes.in_plane(where_);
    const ArcShape shape =
        words.centre ? arc_about(start, words.end, *words.centre, clockwise, arc_tolerance(), at)
                     : arc_with_radius(start, words.end, words.radius, clockwise, arc_tolerance(), at);
    const double gap = distance(start, words.end);
    if (std::abs(shape.sweep) > kNearlyRound && gap > kSamePoint)
      logs_.warnings.add(
          "nearly-full-circle",
          fmt::format("the arc goes almost right round, its ends {:.4f} mm apart: it may be meant as a short "
                      "arc the other way or as a full circle",
                      gap),
          at);
    pieces.add(spot.at, arc_in(state_.plane, shape, where_[axes.c]));
  }
  make(pieces, feed_for(length_along(pieces), block, at), at);
}

ProgramArc Interpreter::arc_in(Plane plane, const ArcShape& shape, double level) {
  ProgramArc arc;
  arc.plane = plane;
  arc.sweep = shape.sweep;
  const PlaneAxes axes = axes_of(plane);
  axes.set(arc.centre, shape.centre);
  arc.centre[axes.c] = level;
  return arc;
}

void Interpreter::add_compensated(Pieces& pieces, const CutterCompensation::Piece& piece, bool last,
                                  double end_z) const {
  // A corner is turned at the height where it stands.
  const Point3 end{piece.end.x, piece.end.y, last ? end_z : where_[2]};
  if (piece.arc)
    pieces.add(end, arc_in(Plane::xy, *piece.arc, where_[2]));
  else
    pieces.add(end);
}

double Interpreter::length_along(const Pieces& pieces) const {
  double length = 0;
  Point3 from = where_;
  for (int i = 0; i < pieces.count; ++i) {
    const Piece& piece = pieces.piece[static_cast<std::size_t>(i)];
    if (piece.arc) {
      const PlaneAxes axes = axes_of(piece.arc->plane);
      const double radius = distance(axes.in_plane(from), axes.in_plane(piece.arc->centre));
      length += std::hypot(radius * piece.arc->sweep, piece.end[axes.c] - from[axes.c]);
    } else {
      length += distance3(from, piece.end);
    }
    from = piece.end;
  }
  return length;
}

void Interpreter::rapid_to(const Spot& spot, LineColumn at) {
  const auto all = [](const std::array<bool, 3>& k) { return k[0] && k[1] && k[2]; };
  if (all(known_) && all(spot.known)) {
    send({spot.at, {}}, 0, at);
  } else {
    where_ = spot.at;
  }
  known_ = spot.known;
}

void Interpreter::feed_to(const Point3& end, LineColumn at) {
  if (!(state_.feed > 0)) throw ProgramError(at, "no feed is set for this move: add F");
  send({end, {}}, state_.feed, at);
}

void Interpreter::make(const Pieces& pieces, double feed, LineColumn at) {
  for (int i = 0; i < pieces.count; ++i) send(pieces.piece[static_cast<std::size_t>(i)], feed, at);
}

void Interpreter::send(const Piece& piece, double feed, LineColumn at) {
  for (const double v : piece.end)
    if (!(std::abs(v) <= kFarthest))
      throw ProgramError(
          at, fmt::format("this move ends {:.4g} m from the work zero, farther than any sheet: check the "
                          "units (G20, G21) and the coordinates",
                          v / 1000));
  if (++motions_ > options_.limits.motions)
    throw ProgramError(
        at, fmt::format("the program makes more than {} motions: split it", options_.limits.motions));
  const bool rapid = feed == 0;
  const int tool = state_.tool, offset = state_.length_tool;
  if (!rapid) {
    if (offset != 0 && offset != tool && !(has_length(offset) && has_length(tool)))
      throw ProgramError(
          at, fmt::format("the length of tool {} is in force while tool {} is in the spindle, and their "
                          "lengths are not both known: program G43 H{} or give the lengths",
                          offset, tool, tool));
    if (offset == 0 && length_of(tool) != 0)
      logs_.warnings.add(
          "length-not-applied",
          fmt::format("no tool length is in force (G43), so the tip of tool {} runs {:.3f} mm below the "
                      "programmed height",
                      tool, length_of(tool)),
          at);
    if (state_.turning == Turning::stopped || state_.speed == 0)
      logs_.warnings.add("spindle-stopped",
                         "a feed move with the spindle stopped: start it with M3 and S before", at);
    else if (state_.turning == Turning::counterclockwise && state_.motion != 840)
      logs_.warnings.add("spindle-reversed",
                         "the spindle turns counter-clockwise (M4), against a router bit's cutting edge", at);
  }
  TipMotion motion;
  motion.start = where_;
  motion.end = piece.end;
  motion.arc = piece.arc;
  const double length = length_of(tool);
  motion.start[2] -= length;
  motion.end[2] -= length;
  if (motion.arc) motion.arc->centre[2] -= length;
  motion.rapid = rapid;
  motion.feed = feed;
  motion.turning = state_.turning;
  motion.speed = state_.speed;
  motion.tool = tool;
  motion.at = at;
  where_ = piece.end;
  if (motion.start != motion.end || motion.arc) sink_.motion(motion);
}

}  // namespace ovolo::io
