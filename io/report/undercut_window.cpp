#include "io/report/undercut_window.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <nlohmann/json.hpp>
#include <vector>

#include "io/json_text.hpp"
#include "sim/error.hpp"
#include "sim/measure/quick_look.hpp"
#include "sim/measure/standing.hpp"
#include "sim/parallel.hpp"
#include "sim/path/move_index.hpp"
#include "sim/path/plan.hpp"

namespace ovolo::io {
namespace {

constexpr std::size_t kColumns = 41, kRows = 41, kFirst = 17;
constexpr std::size_t kMostMoves = 500;  // a longer job takes too long to plan at every setting

double between(double lo, double hi, std::size_t i, std::size_t count) {
  return lo + (hi - lo) * static_cast<double>(i) / static_cast<double>(count - 1);
}

struct Place {
  char letter = 'n';
  double missed = std::numeric_limits<double>::infinity();  ///< measure to wish, of the worst
};

char letter_of(const Standing& s) {
  using What = Standing::What;
  if (s.ratio <= 1 + 1e-6) return '.';
  switch (s.what) {
    case What::lip:
    case What::other_lip:
      return 'l';
    case What::band:
    case What::other_band:
    case What::no_foot:
      return 'b';
    case What::face_break:
    case What::other_face_break:
      return 'f';
    case What::wall_break:
      return 'w';
    case What::overcut:
      return 'o';
    case What::layer:
      return 'h';
    case What::none:
    case What::not_cut:
      break;
  }
  return 'n';
}

Place place_at(const Job& given, std::uint32_t operation, double depth, double offset) {
  Job job = given;
  Operation& op = job.operations[operation];
  op.depth = depth;
  op.offset = offset;
  std::erase_if(op.passes, [depth](double pass) { return pass >= depth - 1e-9; });
  op.passes.push_back(depth);
  try {
    const Plan plan = make_plan(job);
    const MoveIndex index(plan, job);
    const Measures m = quick_look(job, plan, index, operation, 1);
    if (m.edges.empty() || m.edges.front().stations.empty()) return {};
    const Station& s = m.edges.front().stations.front();
    if (s.kind != StationKind::edge) return {};
    const Standing at = standing(s.measures, job.wishes, wanted_form(op, job.bits[op.bit]), job.stock);
    return {letter_of(at), at.ratio};
  } catch (const JobError&) {
    return {};  // the bit cannot be run there
  }
}

}  // namespace

std::string no_window(const Job& job, const Operation& op) {
  const Bit& bit = job.bits[op.bit];
  if (!bit.profile.undercut()) return {};
  if (op.kind != OperationKind::edge)
    return "No map here: the program says how deep this undercut bit goes, and where.";
  if (!op.wanted && bit.wanted.curve.empty())
    return fmt::format(
        "No map here: the bit '{}' is undercut and has no curve of its own to miss. At any depth and axis it "
        "leaves what it sweeps, and that is what is wanted; set the depth and width that your joint needs.",
        bit.id);
  if (make_plan(job).moves.size() > kMostMoves)
    return fmt::format(
        "No map here: the bit '{}' is undercut, and a job as long as this would take too long to plan anew "
        "for each place of a map. The verdict tells what to set.",
        bit.id);
  return {};
}

std::string no_window_json(const std::string& reason) { return json_line({{"none", reason}}); }

SettingWindow undercut_window(const Job& job, std::uint32_t operation, const StopCheck& stop) {
  const Operation& op = job.operations.at(operation);
  const Bit& bit = job.bits[op.bit];
  const double size = std::max(bit.nominal_radius, 0.2 * bit.profile.cutting_radius());
  const auto look = [&](const SettingWindow& w, std::size_t columns, std::size_t rows) {
    std::vector<Place> out(columns * rows);
    parallel_for(rows, [&](std::size_t k) {
      for (std::size_t i = 0; i < columns; ++i) {
        if (stop) stop();
        out[k * columns + i] = place_at(job, operation, between(w.depth_lo, w.depth_hi, k, rows),
                                        between(w.offset_lo, w.offset_hi, i, columns));
      }
    });
    return out;
  };
  // The wishes are met within some hundredths: first find about where, then look there closely.
  const auto about = [](double d0, double d1, double o0, double o1, double room) {
    SettingWindow w;
    w.depth_lo = std::max(0.01, d0 - room);
    w.depth_hi = d1 + room;
    w.offset_lo = o0 - room;
    w.offset_hi = o1 + room;
    return w;
  };
  const SettingWindow wide = about(op.depth, op.depth, op.offset, op.offset, 0.12 * size);
  const std::vector<Place> first = look(wide, kFirst, kFirst);
  const auto best = std::min_element(first.begin(), first.end(),
                                     [](const Place& a, const Place& b) { return a.missed < b.missed; });
  const auto at = static_cast<std::size_t>(best - first.begin());
  const double depth = between(wide.depth_lo, wide.depth_hi, at / kFirst, kFirst),
               offset = between(wide.offset_lo, wide.offset_hi, at % kFirst, kFirst);
  SettingWindow near = about(std::min(op.depth, depth), std::max(op.depth, depth),
                             std::min(op.offset, offset), std::max(op.offset, offset), 0.012 * size);
  const std::vector<Place> places = look(near, kColumns, kRows);
  for (std::size_t k = 0; k < kRows; ++k) {
    near.rows.emplace_back();
    for (std::size_t i = 0; i < kColumns; ++i) near.rows.back() += places[k * kColumns + i].letter;
  }
  return near;
}

}  // namespace ovolo::io
