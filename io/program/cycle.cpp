#include <fmt/format.h>

#include <algorithm>

#include "io/program/interpreter.hpp"

namespace ovolo::io {
namespace {

constexpr double kPeckClearance =
    0.254;  // mm: G83 comes back down to this far above the hole's bottom (0.010 inch)

}  // namespace

/// One line's cycle, worked out: mm from the work zero.
struct Interpreter::Cycle {
  PlaneAxes axes{};
  double clear = 0;    ///< the R plane
  double depth = 0;    ///< the hole's bottom
  double retract = 0;  ///< where each hole ends
  double peck = 0;
  double dwell = 0;
  Vec2 offset;        ///< G87: aside, so that the cutter passes the bore
  double middle = 0;  ///< G87: the counterbore's upper end
};

void Interpreter::canned_cycle(const Block& block, int code, LineColumn at) {
  if (compensation_.on())
    throw ProgramError(
        at, fmt::format("{} cannot be used under G41 or G42: end them with G40 first", g_name(code)));
  if (state_.inverse_time)
    throw ProgramError(at,
                       fmt::format("{} cannot be used under G93: select G94 and a feed first", g_name(code)));
  const Spot spot = target(block);
  Cycle cycle = cycle_words(block, code, at);
  state_.motion = code;
  const PlaneAxes axes = cycle.axes;
  int repeats = 1;
  if (const ProgramWord* l = block.word('L'))
    repeats = near_integer(l->value, l->at, "L, the repeats,", 1, 1'000'000'000);

  Spot now{where_, known_};
  if (now.at[axes.c] < cycle.clear) {
    now.at[axes.c] = cycle.clear;
    rapid_to(now, at);
  }
  cycle.retract = state_.retract_to_r ? cycle.clear : now.at[axes.c];
  const Vec2 first = axes.in_plane(where_);
  const Vec2 step = axes.in_plane(spot.at) - first;
  for (int i = 0; i < repeats; ++i) {
    Spot hole{where_, spot.known};
    hole.known[axes.c] = true;
    // Repeats in absolute mode drill the same hole again.
    axes.set(hole.at, first + (state_.incremental ? static_cast<double>(i + 1) : 1.0) * step);
    rapid_to(hole, at);
    hole.at[axes.c] = cycle.clear;
    if (where_[axes.c] != cycle.clear) rapid_to(hole, at);
    require_known(at);
    one_hole(cycle, code, at);
  }
}

Interpreter::Cycle Interpreter::cycle_words(const Block& block, int code, LineColumn at) {
  Cycle cycle;
  cycle.axes = axes_of(state_.plane);
  const std::size_t c = cycle.axes.c;
  const char depth_name = static_cast<char>('X' + static_cast<int>(c));
  if (state_.motion != code || sticky_.plane != state_.plane) {
    sticky_ = {};
    sticky_.plane = state_.plane;
  }
  const auto keep = [&](const ProgramWord* word, std::optional<double>& held) {
    if (word) held = word->value;
  };
  const auto need = [&](const std::optional<double>& held, char letter) {
    if (!held)
      throw ProgramError(at, fmt::format("{} needs {} the first time it is used", g_name(code), letter));
    return *held;
  };
  keep(block.axis(c), sticky_.depth);
  keep(block.word('R'), sticky_.clear);
  const double depth = need(sticky_.depth, depth_name), clear = need(sticky_.clear, 'R');
  if (!known_[c])
    throw ProgramError(
        at,
        fmt::format("the cycle begins at a height that is not known: go to a {} first with G0", depth_name));
  if (state_.incremental) {
    cycle.clear = where_[c] + clear * unit();
    cycle.depth = cycle.clear + depth * unit();
  } else {
    cycle.clear = clear * unit() + zero_of(c);
    cycle.depth = depth * unit() + zero_of(c);
  }
  if (cycle.depth > cycle.clear)
    throw ProgramError(
        at, fmt::format("the hole's bottom ({}) lies above the clear plane (R): raise R or lower {}",
                        depth_name, depth_name));
  if (code == 830) {
    keep(block.word('Q'), sticky_.peck);
    cycle.peck = need(sticky_.peck, 'Q') * unit();
    if (!(cycle.peck > 0)) throw ProgramError(at, "Q, the depth of each peck, must be above zero");
  }
  if (code == 820 || code == 860 || code == 880 || code == 890) {
    keep(block.word('P'), sticky_.dwell);
    cycle.dwell = need(sticky_.dwell, 'P');
    check_dwell(cycle.dwell, "P, the seconds to wait,", at);
  }
  if (code == 840 && (state_.turning != Turning::clockwise || state_.speed == 0))
    throw ProgramError(at, "G84 taps with the spindle turning clockwise: start it with M3 and S first");
  if ((code == 860 || code == 870 || code == 880) &&
      (state_.turning == Turning::stopped || state_.speed == 0))
    throw ProgramError(
        at, fmt::format("{} needs the spindle turning: start it with M3 and S first", g_name(code)));
  if (code == 870) {
    for (std::size_t i = 0; i < 3; ++i) {
      keep(block.centre(i), sticky_.offsets[i]);
      need(sticky_.offsets[i], static_cast<char>('I' + static_cast<int>(i)));
    }
    cycle.offset = Vec2{*sticky_.offsets[cycle.axes.a], *sticky_.offsets[cycle.axes.b]} * unit();
    const double middle = *sticky_.offsets[c] * unit();
    cycle.middle = state_.incremental ? cycle.depth + middle : middle + zero_of(c);
    if (cycle.middle < cycle.depth || cycle.middle > cycle.clear)
      throw ProgramError(at, "the counterbore of G87 must end between its bottom and the clear plane");
  }
  return cycle;
}

void Interpreter::one_hole(const Cycle& cycle, int code, LineColumn at) {
  const PlaneAxes axes = cycle.axes;
  const Turning turning = state_.turning;
  const Vec2 hole = axes.in_plane(where_);
  const auto at_height = [&](double height) {
    Point3 p = where_;
    p[axes.c] = height;
    return p;
  };
  const auto rapid = [&](double height) { rapid_to({at_height(height)}, at); };
  const auto aside = [&](Vec2 place) {
    Point3 p = where_;
    axes.set(p, place);
    rapid_to({p}, at);
  };
  if (code == 870) {
    aside(hole + cycle.offset);
    state_.turning = Turning::oriented;
    rapid(cycle.depth);
    aside(hole);
    state_.turning = turning;
    feed_to(at_height(cycle.middle), at);
    feed_to(at_height(cycle.depth), at);
    state_.turning = Turning::oriented;
    aside(hole + cycle.offset);
    rapid(cycle.retract);
    aside(hole);
    state_.turning = turning;
    return;
  }
  if (code == 830) {
    for (double level = cycle.clear - cycle.peck; level > cycle.depth; level -= cycle.peck) {
      feed_to(at_height(level), at);
      rapid(cycle.clear);
      rapid(std::min(level + kPeckClearance, cycle.clear));
    }
  }
  feed_to(at_height(cycle.depth), at);
  if (code == 820 || code == 860 || code == 880 || code == 890) sink_.dwell(cycle.dwell, at);
  switch (code) {
    case 840:
      state_.turning = Turning::counterclockwise;
      feed_to(at_height(cycle.retract), at);
      state_.turning = turning;
      break;
    case 850:
    case 890:
      feed_to(at_height(cycle.retract), at);
      break;
    case 860:
      state_.turning = Turning::stopped;
      rapid(cycle.retract);
      state_.turning = turning;
      break;
    case 880:
      state_.turning = Turning::stopped;
      sink_.stop(ProgramStop::hand_retract, at);
      rapid(cycle.retract);
      state_.turning = turning;
      break;
    default:
      rapid(cycle.retract);
  }
}

}  // namespace ovolo::io
