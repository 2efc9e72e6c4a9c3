#include "sim/advise/dial.hpp"

#include <algorithm>
#include <cmath>

#include "sim/advise/dial_search.hpp"
#include "sim/error.hpp"

namespace ovolo {
namespace {

constexpr double kTie = 1e-4;  // chances nearer than this are equal
// What the other wishes give up at most so that the one set aside is missed by less than it need be.
constexpr double kGivenUp = 0.05;
constexpr double kHopeless = 0.999;  // a chance of failure that leaves nothing to choose by
constexpr double kBeyond = 0.05;     // mm past the window, where the cost is shown

// Which wish of a conflict is the easiest to do without, the easiest first.
constexpr Wish kSetAside[] = {Wish::wall_break, Wish::face_break, Wish::band, Wish::hidden, Wish::lip};

// By how much an edge goes past the wishes set aside, each in parts of what was wished.
double missed(const EdgeCase& edge, const std::vector<Wish>& aside, Setting s) {
  constexpr double kNoEdge = 1e6;
  const SectionMeasures m = edge.measure(s.depth, s.offset);
  const Wishes& w = edge.wishes;
  double sum = 0;
  const auto add = [&](const std::optional<double>& value, double wish) {
    sum += value ? std::max(0.0, *value - wish) / std::max(wish, 1e-3) : kNoEdge;
  };
  for (const Wish wish : aside) {
    if (wish == Wish::lip) add(m.lip, w.lip);
    if (wish == Wish::band) add(m.band, w.band);
    if (wish == Wish::face_break) add(m.face_break, w.face_break);
    if (wish == Wish::wall_break) add(m.wall_break, w.wall_break);
    for (std::size_t i = 0; wish == Wish::hidden && i < m.exposure.size(); ++i)
      if (std::find(w.hidden.begin(), w.hidden.end(), edge.stock.layers[i].name) != w.hidden.end())
        add(m.exposure[i], 1);
  }
  return sum;
}

// A roundover's breaks hold its size. Any other form has wishes that the smallest touch of the bit meets
// best: its edge has to come out as deep and as wide as the wanted form.
SizeMiss size_of(const EdgeCase& edge) {
  if (edge.bit.roundover) return {};
  const double depth = edge.wanted.depth, width = edge.wanted.width;
  if (depth <= 0 || width <= 0) return {};
  return [&edge, depth, width](Setting s) {
    if (s.depth <= 0) return 1e3;
    const SectionMeasures m = edge.measure(s.depth, s.offset);
    return std::max(std::abs(m.foot_depth.value_or(0) / depth - 1),
                    std::abs((m.round_width - m.band.value_or(0)) / width - 1));
  };
}

DialSide side_of(const EdgeCase& edge, WishWindow::Room room, Setting at, double depth_way,
                 double offset_way) {
  DialSide side;
  side.room = room;
  side.beyond = kBeyond;
  const double far = room.distance + kBeyond;
  side.there = edge.measure(std::max(1e-3, at.depth + depth_way * far), at.offset + offset_way * far);
  return side;
}

}  // namespace

DialedEdge dial_edge(const Job& job, std::uint32_t operation, const SettingErrors& errors,
                     const StopCheck& stop) {
  DialedEdge out;
  out.operation = operation;
  const Operation& op = job.operations.at(operation);
  EdgeCase edge;
  try {
    edge = EdgeCase::of(job, operation);
  } catch (const JobError& e) {
    out.unanswered = e.what();
    return out;
  }
  out.face = edge.face;
  const WishWindow window = edge.window();
  const auto odds_with = [&](const EdgeCase& c, const SettingErrors& e) {
    return EdgeOdds(c.bit, c.wanted, c.stock, c.wishes, e, c.face, stop);
  };
  const EdgeOdds odds = odds_with(edge, errors);
  out.depth_sigma = odds.depth_sigma();
  out.offset_sigma = odds.offset_sigma();
  out.conflicts = find_conflicts(edge);

  WishSet set = WishSet::all();
  const SizeMiss size = size_of(edge);
  Setting at = least_failure(odds, window, set, size);
  if (!out.conflicts.empty() && odds.failure(at.depth, at.offset) > kHopeless) {
    // Leave out, of each conflict still standing, the wish that is the easiest to do without.
    for (const Conflict& c : out.conflicts) {
      const bool broken = std::any_of(c.wishes.begin(), c.wishes.end(), [&](Wish w) { return !set.has(w); });
      if (broken) continue;
      for (const Wish w : kSetAside)
        if (std::find(c.wishes.begin(), c.wishes.end(), w) != c.wishes.end()) {
          set = set.without(w);
          out.set_aside.push_back(w);
          break;
        }
    }
    at = least_failure(odds, window, set, size);
  }
  at = out.set_aside.empty() ? nearest_form(edge, odds, set, at, kTie, size)
                             : least_missing([&](Setting s) { return missed(edge, out.set_aside, s); }, odds,
                                             set, at, kGivenUp);

  out.depth = at.depth;
  out.offset = at.offset;
  out.failure = odds.failure(at.depth, at.offset);
  for (int i = 0; i < kWishes; ++i)
    out.failures[static_cast<std::size_t>(i)] =
        odds.failure(at.depth, at.offset, WishSet::only(static_cast<Wish>(i)));
  out.measures = edge.measure(at.depth, at.offset);
  out.deeper = side_of(edge, window.deeper(at.depth, at.offset), at, 1, 0);
  out.shallower = side_of(edge, window.shallower(at.depth, at.offset), at, -1, 0);
  out.outward = side_of(edge, window.outward(at.depth, at.offset), at, 0, 1);
  out.inward = side_of(edge, window.inward(at.depth, at.offset), at, 0, -1);
  out.failure_now = odds.failure(op.depth, op.offset);

  SettingErrors better = errors;
  better.z /= 3;
  better.thickness /= 3;
  out.failure_with_better_zero = odds_with(edge, better).failure(at.depth, at.offset);
  better = errors;
  double reading = kReadingError;
  if (edge.bit.roundover) {
    const RoundoverReadings& r = edge.bit.roundover->readings;
    reading = r.working_depth_error.value_or(r.error);
  }
  better.readings = errors.readings.value_or(reading) / 3;
  out.failure_with_better_readings = odds_with(edge, better).failure(at.depth, at.offset);
  return out;
}

bool can_be_dialled(const Operation& op) {
  return op.kind == OperationKind::edge ||
         (op.kind == OperationKind::program && op.contour >= 0 && op.depth > 0);
}

std::vector<DialedEdge> dial(const Job& job, const SettingErrors& errors, Progress* progress) {
  std::vector<DialedEdge> out;
  for (std::uint32_t i = 0; i < job.operations.size(); ++i) {
    if (progress)
      progress->report("dialling", static_cast<double>(i) / static_cast<double>(job.operations.size()));
    if (can_be_dialled(job.operations[i])) out.push_back(dial_edge(job, i, errors));
  }
  return out;
}

}  // namespace ovolo
