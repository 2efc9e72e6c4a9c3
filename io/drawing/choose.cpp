#include <fmt/format.h>

#include <algorithm>
#include <stdexcept>

#include "io/drawing/drawing.hpp"
#include "io/drawing/join.hpp"
#include "sim/geometry/fit_arcs.hpp"

namespace ovolo::io {
namespace {

constexpr std::size_t kMostContourPieces = 20000;  // the search for self-crossings may look at every pair
constexpr std::size_t kMostRunsForGaps = 500;      // every loose end is held against every other

Box2 box_of(const std::vector<Segment>& pieces) {
  Box2 box;
  for (const Segment& s : pieces) box.add(s.box());
  return box;
}

std::string size_of(const Box2& box) {
  return fmt::format("{:.6g} x {:.6g} mm", box.hi.x - box.lo.x, box.hi.y - box.lo.y);
}

std::string described(const JoinedChain& c) {
  const Box2 box = box_of(c.pieces);
  return fmt::format("{} {} at ({}){}, {}{}", c.closed ? "closed" : "open", c.name, place(c.pieces.front().a),
                     c.at.line > 0 ? fmt::format(" line {}", c.at.line) : "", size_of(box),
                     c.flaw.empty() ? "" : " (" + c.flaw + ")");
}

std::string what_was_asked(const DrawingChoice& choice) {
  if (choice.id) return fmt::format("'{}'", *choice.id);
  if (choice.layer) return fmt::format("layer '{}'", *choice.layer);
  return "the drawing";
}

double reach(const JoinedChain& c, Vec2 p) {
  double best = 1e300;
  for (const Segment& s : c.pieces) best = std::min(best, s.distance(p));
  return best;
}

/// The smallest distance between two loose ends of different runs, for the message about a gap.
void nearest_end(const std::vector<JoinedChain>& all, const JoinedChain& one, Vec2 end, double& gap,
                 Vec2& other) {
  for (const JoinedChain& c : all) {
    if (c.closed) continue;
    for (const bool front : {true, false}) {
      const Vec2 p = front ? c.pieces.front().a : c.pieces.back().b;
      if (&c == &one && p == end) continue;
      if (distance(p, end) < gap) {
        gap = distance(p, end);
        other = p;
      }
    }
  }
}

/// Says which loose ends lie nearest to each other: two runs may be one contour with a gap.
std::string nearest_gap(const std::vector<JoinedChain>& all) {
  if (all.size() > kMostRunsForGaps) return {};
  double gap = 1e300;
  Vec2 from, to;
  for (const JoinedChain& c : all) {
    if (c.closed || !c.flaw.empty()) continue;
    for (const Vec2 end : {c.pieces.front().a, c.pieces.back().b}) {
      const double before = gap;
      Vec2 other;
      nearest_end(all, c, end, gap, other);
      if (!(gap < before)) continue;
      from = end;
      to = other;
    }
  }
  if (gap >= 1e300) return {};
  return fmt::format(
      "; the loose ends nearest to each other are {:.4g} mm apart, at ({}) and ({}): if they belong "
      "together, close "
      "the gap in the drawing or raise join",
      gap, place(from), place(to));
}

[[noreturn]] void report_open(const std::vector<JoinedChain>& all, const JoinedChain& run,
                              const DrawingChoice& choice) {
  const Vec2 a = run.pieces.front().a, b = run.pieces.back().b;
  double gap = distance(a, b);
  Vec2 from = b, to = a;
  double candidate = gap;
  Vec2 other = to;
  for (const Vec2 end : {a, b}) {
    nearest_end(all, run, end, candidate, other);
    if (candidate < gap) {
      gap = candidate;
      from = end;
      to = other;
    }
  }
  throw DrawingError(
      run.at,
      fmt::format(
          "{} is open: a gap of {:.4g} mm from ({}) to ({}), join being {:.4g} mm; close it in the drawing, "
          "raise join, or say open = true if the contour is meant to be open",
          run.name, gap, place(from), place(to), choice.join));
}

}  // namespace

DrawnContour choose_contour(Drawing drawing, const std::string& file, const DrawingChoice& choice) {
  if (!(choice.join >= 0) || !(choice.join <= 10))
    throw DrawingError({file, 0, 0}, "join must lie between 0 and 10 mm");
  if (drawing.chains.empty())
    throw DrawingError(
        {file, 0, 0},
        fmt::format(
            "{} holds no lines or arcs{}", what_was_asked(choice),
            drawing.notes.empty() ? "" : " (" + fmt::format("{}", fmt::join(drawing.notes, "; ")) + ")"));
  Joined joined = join_chains(std::move(drawing.chains), choice.join);
  std::vector<JoinedChain>& all = joined.chains;

  std::size_t pick = 0;
  if (choice.near) {
    for (std::size_t i = 1; i < all.size(); ++i)
      if (reach(all[i], *choice.near) < reach(all[pick], *choice.near)) pick = i;
  } else if (all.size() > 1) {
    // Loose runs that nearly meet are one contour with gaps: say where, rather than ask which one is meant.
    if (std::none_of(all.begin(), all.end(), [](const JoinedChain& c) { return c.closed; }) && !choice.open) {
      for (const JoinedChain& c : all)
        if (!c.flaw.empty())
          throw DrawingError(
              c.at, c.name + ": " + c.flaw + "; draw one contour there, or choose it with near = [x, y]");
      report_open(all, all.front(), choice);
    }
    std::string list;
    for (std::size_t i = 0; i < std::min<std::size_t>(all.size(), 6); ++i) list += "; " + described(all[i]);
    if (all.size() > 6) list += "; ...";
    list += nearest_gap(all);
    throw DrawingError(
        all[1].at,
        fmt::format(
            "{} holds {} contours where one is wanted: choose it by id or layer, or with near = [x, y]{}",
            what_was_asked(choice), all.size(), list));
  }
  JoinedChain& run = all[pick];
  if (!run.flaw.empty())
    throw DrawingError(run.at,
                       run.name + ": " + run.flaw +
                           ", so the contour's way on is not clear; remove what does not belong to it");
  if (!run.closed && !choice.open) report_open(all, run, choice);

  merge_pieces(run.pieces, 1e-6);
  if (run.pieces.size() > kMostContourPieces)
    throw DrawingError(
        run.at, fmt::format("{} has {} pieces, more than {}: simplify it, or draw it with arcs and curves",
                            run.name, run.pieces.size(), kMostContourPieces));
  DrawnContour out;
  out.at = run.at;
  try {
    out.contour = Contour(run.pieces, run.closed);
  } catch (const std::invalid_argument& e) {
    throw DrawingError(run.at, run.name + ": " + e.what());
  }
  Vec2 crossing;
  if (self_crossing(out.contour, crossing))
    throw DrawingError(
        run.at,
        fmt::format("{} crosses or touches itself at ({}): an edge there has no side; mend it in the drawing",
                    run.name, place(crossing)));
  if (out.contour.closed() && out.contour.signed_area() < 0) out.contour = out.contour.reversed();

  const Box2 box = out.contour.box();
  out.notes.push_back(fmt::format("overall size {}, lower left corner at ({}), {} pieces, {:.6g} mm long",
                                  size_of(box), place(box.lo), out.contour.segments().size(),
                                  out.contour.length()));
  if (run.widest_gap > 1e-6)
    out.notes.push_back(fmt::format("gaps of up to {:.4f} mm joined", run.widest_gap));
  if (joined.doubles > 0)
    out.notes.push_back(fmt::format("{} piece(s) drawn twice were taken once", joined.doubles));
  if (!run.closed)
    out.notes.push_back(
        fmt::format("open, from ({}) to ({})", place(run.pieces.front().a), place(run.pieces.back().b)));
  out.notes.insert(out.notes.end(), drawing.notes.begin(), drawing.notes.end());
  return out;
}

}  // namespace ovolo::io
