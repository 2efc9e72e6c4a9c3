#include "io/report/straight_cut.hpp"

#include <algorithm>

#include "sim/measure/verdict.hpp"

namespace ovolo::io {

StraightCut::StraightCut(const Job& job, const Operation& op)
    : job_(job), op_(op), bit_(job.bits[op.bit]), wanted_(wanted_form(op, bit_)) {
  context_ = {&job.stock, &wanted_, &job.wishes, std::vector<bool>(job.operations.size(), false)};
}

Section StraightCut::section(double depth, double offset) const {
  const double seen =
      1.7 * std::max(wanted_.width, bit_.profile.cutting_radius() - std::min(offset, 0.0)) + 1;
  return SectionMaker::straight(bit_.profile, depth, offset, seen);
}

SectionMeasures StraightCut::measures(const Section& s) const { return measure_section(s, context_); }

Verdict StraightCut::verdict(const SectionMeasures& m, std::uint32_t operation,
                             std::vector<Warning>& warnings) const {
  EdgeMeasures edge;
  edge.operation = operation;
  const NamedContour& named = job_.contours[static_cast<std::size_t>(op_.contour)];
  edge.contour = named.id;
  edge.length = named.contour.length();
  const auto stat = [](const std::optional<double>& v) -> std::optional<Stat> {
    if (!v) return {};
    return Stat{*v, *v, *v, {}};
  };
  edge.lip = stat(m.lip);
  edge.band = stat(m.band);
  edge.face_break = stat(m.face_break);
  edge.wall_break = stat(m.wall_break);
  edge.foot_depth = stat(m.foot_depth);
  edge.curve_length = stat(m.curve_length);
  edge.round_width = stat(m.round_width);
  for (std::size_t i = 0; i < job_.stock.layers.size(); ++i) {
    const double shows = i < m.exposure.size() ? m.exposure[i] : 0;
    edge.exposure.push_back({job_.stock.layers[i].name, {shows, shows, shows, {}}, shows * edge.length});
  }
  Station station;
  station.measures = m;
  if (m.wall_operation >= 0) station.measures.wall_operation = static_cast<std::int32_t>(operation);
  station.weight = edge.length;
  edge.stations.push_back(station);
  judge_edge(job_, wanted_, edge, warnings);
  return edge.verdict;
}

}  // namespace ovolo::io
