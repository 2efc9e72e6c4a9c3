#include "sim/advise/cure.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "sim/advise/as_written.hpp"
#include "sim/error.hpp"
#include "sim/measure/quick_look.hpp"
#include "sim/measure/verdict.hpp"
#include "sim/path/move_index.hpp"
#include "sim/path/plan.hpp"
#include "sim/shop/pass_split.hpp"
#include "sim/text.hpp"

namespace ovolo {
namespace {

constexpr std::size_t kStations = 500;
constexpr int kSteps = 4;             // towards the offset that an undercut bit needs
constexpr std::size_t kMostWays = 3;  // told of what else would do

// The edge with another setting, all other operations as they are; nothing when the job cannot be run so.
std::optional<EdgeMeasures> tried(const Job& given, std::uint32_t operation, Setting at) {
  Job job = given;
  Operation& op = job.operations[operation];
  op.depth = at.depth;
  op.offset = at.offset;
  try {
    if (op.split) {
      op.passes = split_passes(job.bits[op.bit].profile, op.offset, op.depth, *op.split);
    } else {
      std::erase_if(op.passes, [&](double pass) { return pass >= at.depth - 1e-9; });
      op.passes.push_back(at.depth);
    }
    const Plan plan = make_plan(job);
    const MoveIndex index(plan, job);
    Measures m = quick_look(job, plan, index, operation, kStations);
    if (m.edges.empty()) return {};
    return std::move(m.edges.front());
  } catch (const JobError&) {
    return {};
  }
}

// What an undercut bit's form and the sheet ask for: the depth at once, the offset by what is missing of it.
std::optional<Setting> fitted(const Job& job, const EdgeMeasures& edge) {
  const Operation& op = job.operations[edge.operation];
  Setting at{depth_of_undercut(job.bits[op.bit], job.stock).value_or(op.depth), op.offset};
  for (int step = 0; step < kSteps; ++step) {
    at = {as_written(at.depth, job.inch), as_written(at.offset, job.inch)};
    const auto then = tried(job, edge.operation, at);
    if (!then) return {};
    if (then->verdict.good) return at;
    double missing = 0;
    const auto look = [&missing](const std::optional<Stat>& s) {
      if (s) missing = std::max(missing, s->max);
    };
    look(then->overcut);
    look(then->band);
    if (then->other) look(then->other->band);
    if (missing < 1e-3) return {};
    at.offset += missing + 1e-3;
  }
  return {};
}

std::string told(const Operation& op, Setting at) {
  if (op.kind == OperationKind::program)
    return fmt::format("have the program cut at depth {} and offset {} (of its path off the line)",
                       fine_units(at.depth), fine_units(at.offset));
  std::vector<std::string> parts;
  if (std::abs(at.depth - op.depth) > 5e-4) parts.push_back("depth to " + fine_units(at.depth));
  if (std::abs(at.offset - op.offset) > 5e-4) parts.push_back("offset to " + fine_units(at.offset));
  return "set " + list_text(parts);
}

// No setting meets the wishes even on a straight edge: what else would do.
std::string other_ways(const DialedEdge& dialed) {
  std::vector<std::string> ways;
  for (const Conflict& c : dialed.conflicts)
    for (const std::string& cure : c.cures)
      if (std::find(ways.begin(), ways.end(), cure) == ways.end()) ways.push_back(cure);
  std::string out = "no depth and offset make this edge good";
  if (dialed.conflicts.size() > 1) return out + ": `ovolo dial` tells what stands against what";
  for (std::size_t i = 0; i < ways.size() && i < kMostWays; ++i) out += (i == 0 ? ": " : ", or ") + ways[i];
  return out;
}

}  // namespace

Cure find_cure(const Job& job, const EdgeMeasures& edge, const std::optional<DialedEdge>& dialed) {
  if (edge.verdict.good) return {};
  const Operation& op = job.operations[edge.operation];
  if (dialed && dialed->unanswered.empty()) {
    if (!dialed->set_aside.empty()) return {{}, other_ways(*dialed)};
    const Setting at{as_written(dialed->depth, job.inch), as_written(dialed->offset, job.inch)};
    if (op.kind == OperationKind::program) return {at, told(op, at)};
    const auto then = tried(job, edge.operation, at);
    if (!then) return {};
    if (then->verdict.good) return {at, told(op, at)};
    const bool here = std::abs(at.depth - op.depth) < 5e-4 && std::abs(at.offset - op.offset) < 5e-4;
    return {{},
            fmt::format("no depth and offset cure all of it{}: {}",
                        here ? std::string()
                             : fmt::format("; with depth {} and offset {} there is still {}",
                                           fine_units(at.depth), fine_units(at.offset), then->verdict.wrong),
                        then->verdict.mend)};
  }
  if (op.kind == OperationKind::edge && job.bits[op.bit].profile.undercut())
    if (const auto at = fitted(job, edge)) return {at, told(op, *at)};
  return {};
}

}  // namespace ovolo
