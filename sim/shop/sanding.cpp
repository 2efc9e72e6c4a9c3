#include "sim/shop/sanding.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/error.hpp"
#include "sim/text.hpp"

namespace ovolo {
namespace {

/// The triangle that takes an upright rise (or a level run) off at an allowed break.
struct Blend {
  double section = 0, depth = 0, surface = 0, reach = 0;
};

Blend blend_of(double rise, double allowed) {
  const double run = rise / std::tan(allowed);
  return {rise * run / 2, rise * std::cos(allowed), std::hypot(rise, run), run};
}

void check(const SandLimits& limits) {
  if (limits.grits.empty())
    throw JobError("sanding needs at least one grit: give their P numbers, coarse to fine");
  for (std::size_t i = 0; i < limits.grits.size(); ++i) {
    grit(limits.grits[i]);
    if (i > 0 && limits.grits[i] <= limits.grits[i - 1])
      throw JobError(fmt::format("the sanding grits must run from coarse to fine; P{} follows P{}",
                                 limits.grits[i], limits.grits[i - 1]));
  }
}

/// What a moulded surface shows where it meets one face and the wall.
struct FaceEdge {
  double lip = 0, band = 0, face_break = 0, wall_break = 0;
  std::optional<double> foot_depth;
};

FaceEdge edge_of(const SectionMeasures& m) {
  return {m.lip.value_or(0), m.band.value_or(0), m.face_break.value_or(0), m.wall_break.value_or(0),
          m.foot_depth};
}

FaceEdge edge_of(const OtherFace& m) {
  return {m.lip.value_or(0), m.band.value_or(0), m.face_break.value_or(0), m.wall_break.value_or(0),
          m.foot_depth};
}

double ease_section(double width, double turn) { return width * width / 4 * std::tan(turn / 2); }

/// Volume per mm of contour of a section whose middle lies u inside the part, on a contour of that curvature.
double swept(double section, double u, double curvature) {
  return section * std::max(0.0, 1 - curvature * u);
}

std::vector<int> sequence(SandClass level, const std::vector<int>& grits) {
  if (level == SandClass::nothing) return {};
  if (level == SandClass::touch || level == SandClass::one_grit) return {grits.back()};
  return grits;
}

/// What sanding spoils at one face, whose layers are given from it on.
template <class Once>
void note_face(const FaceEdge& edge, const std::vector<Layer>& layers, const Job& job,
               const SandLimits& limits, const std::string& where, Once once) {
  if (edge.lip > job.wishes.lip && layers.size() > 1 && edge.lip > layers[0].thickness - limits.thin)
    once("Sanding the lip",
         fmt::format("Sanding the lip of {} fair goes through '{}', {} thick{}: recut shallower instead.",
                     both_units(edge.lip), layers[0].name, both_units(layers[0].thickness), where));
  if (!(edge.band > job.wishes.band) || !edge.foot_depth) return;
  const double top = *edge.foot_depth, bottom = top + edge.band / std::tan(job.wishes.wall_break);
  double depth = 0;
  for (std::size_t i = 0; i < layers.size(); ++i) {
    const bool hidden = std::find(job.wishes.hidden.begin(), job.wishes.hidden.end(), layers[i].name) !=
                        job.wishes.hidden.end();
    const double from = depth;
    depth += layers[i].thickness;
    if (!hidden || from <= top || from >= bottom) continue;
    once("Sanding the flat band",
         fmt::format("Sanding the flat band of {} fair bares '{}', {} down{}: run "
                     "the axis further off the line instead.",
                     both_units(edge.band), layers[i].name, both_units(from), where));
  }
}

/// What sanding this section would spoil, or cannot reach.
void note_beyond(const Station& station, Face face, const Job& job, const SandLimits& limits,
                 std::vector<std::string>& out) {
  const SectionMeasures& m = station.measures;
  const auto once = [&out](const char* start, const std::string& text) {
    for (const std::string& other : out)
      if (other.starts_with(start)) return;
    out.push_back(text);
  };
  const std::string where =
      fmt::format(", at x {}, y {}", both_units(station.point.x), both_units(station.point.y));
  if (m.gouge_max > limits.gouge)
    once("Cut too deep",
         fmt::format("Cut too deep by {}{}: sanding cannot put it back; recut with new settings.",
                     both_units(m.gouge_max), where));
  std::vector<Layer> layers = job.stock.layers;
  if (face == Face::bottom) std::reverse(layers.begin(), layers.end());
  note_face(edge_of(m), layers, job, limits, where, once);
  if (!m.other) return;
  std::reverse(layers.begin(), layers.end());
  note_face(edge_of(*m.other), layers, job, limits, where, once);
}

}  // namespace

const char* name_of(SandClass c) {
  switch (c) {
    case SandClass::nothing:
      return "nothing to do";
    case SandClass::touch:
      return "touch";
    case SandClass::one_grit:
      return "one grit";
    case SandClass::two_grits:
      return "two grits";
    case SandClass::recut:
      return "recut";
  }
  return "";
}

SandNeed sand_need(const SectionMeasures& m, const CurveMarks& marks, const Wishes& wishes,
                   const SandLimits& limits, double own_face_break, double own_wall_break) {
  SandNeed need;
  const auto add = [&](const FaceEdge& edge) {
    const double face = edge.face_break - own_face_break, wall = edge.wall_break - own_wall_break;
    const auto blend = [&](double rise, double allowed) {
      const Blend b = blend_of(rise, allowed);
      need.blend += b.section;
      need.depth = std::max(need.depth, b.depth);
      need.surface += b.surface;
    };
    const auto ease = [&](double turn) {
      need.ease += ease_section(limits.ease, turn);
      need.surface += limits.ease;
    };
    if (edge.lip > wishes.lip)
      blend(edge.lip, wishes.face_break);
    else if (face > wishes.face_break)
      ease(face);
    if (edge.band > wishes.band)
      blend(edge.band, wishes.wall_break);
    else if (wall > wishes.wall_break)
      ease(wall);
  };
  add(edge_of(m));
  if (m.other) add(edge_of(*m.other));
  if (marks.tallest > limits.feel) {
    need.marks = marks.mean_crest * marks.length() / 3;  // a parabola's mean height is a third of its crest
    need.depth = std::max(need.depth, marks.tallest);
    need.surface += marks.length();
  }
  const double section = need.section();
  const auto within = [&](double depth, double area) { return need.depth <= depth && section <= area; };
  need.level = section <= 0                                             ? SandClass::nothing
               : within(limits.touch_depth, limits.touch_section)       ? SandClass::touch
               : within(limits.one_grit_depth, limits.one_grit_section) ? SandClass::one_grit
               : within(limits.two_grit_depth, limits.two_grit_section) ? SandClass::two_grits
                                                                        : SandClass::recut;
  return need;
}

EdgeSanding sand_edge(const EdgeMeasures& edge, const std::vector<CurveMarks>& marks, const Job& job,
                      const SandLimits& limits) {
  check(limits);
  if (marks.size() != 1 && marks.size() != edge.stations.size())
    throw JobError("the marks of an edge must be given once, or for each of its stations");
  EdgeSanding out;
  out.operation = edge.operation;
  out.contour = edge.contour;
  for (const int number : limits.grits) out.grits.push_back({number, 0, 0});
  for (std::size_t i = 0; i < edge.stations.size(); ++i) {
    const Station& station = edge.stations[i];
    if (station.kind != StationKind::edge) continue;
    const SectionMeasures& m = station.measures;
    const SandNeed need = sand_need(m, marks[marks.size() == 1 ? 0 : i], job.wishes, limits,
                                    edge.own_face_break, edge.own_wall_break);
    const double length = station.weight * static_cast<double>(edge.copies.size());
    // A lip's blend lies inside the round, the rest on it.
    const double lip = std::max(m.lip.value_or(0), m.other ? m.other->lip.value_or(0) : 0);
    const double at = need.blend > 0 && lip > job.wishes.lip ? m.round_width : m.round_width / 2;
    const double volume = swept(need.section(), at, station.curvature) * length;
    auto& share = out.classes[static_cast<std::size_t>(need.level)];
    share.length += length;
    share.volume += volume;
    out.worst = std::max(out.worst, need.level);
    double before = -1;  // particle size of the grit before, um
    for (const int number : sequence(need.level, limits.grits)) {
      auto& work = *std::find_if(out.grits.begin(), out.grits.end(),
                                 [&](const GritWork& w) { return w.number == number; });
      const double off =
          before < 0 ? volume
                     : swept(need.surface * limits.scratch * before / 1000, at, station.curvature) * length;
      work.length += length;
      work.volume += off;
      out.volume += off;
      out.equivalent += off / relative_rate(grit(number));
      out.stroke += length;
      before = grit(number).particle;
    }
    note_beyond(station, edge.face, job, limits, out.beyond);
  }
  std::erase_if(out.grits, [](const GritWork& w) { return w.length == 0; });
  return out;
}

SandTime sand_time(const std::vector<EdgeSanding>& edges, double parts, const SandRates& rates) {
  double stroke = 0, equivalent = 0, volume = 0;
  for (const EdgeSanding& edge : edges) {
    stroke += edge.stroke;
    equivalent += edge.equivalent;
    volume += edge.volume;
  }
  SandTime time;
  if (stroke <= 0) return time;
  const auto seconds = [&](double Ranged::*of) {
    return rates.handling.*of * parts + rates.per_metre.*of * stroke / 1000 + rates.per_mm3.*of * equivalent;
  };
  time.seconds = {seconds(&Ranged::low), seconds(&Ranged::value), seconds(&Ranged::high)};
  time.sheets = rates.per_sheet > 0 ? volume / rates.per_sheet : 0;
  return time;
}

}  // namespace ovolo
