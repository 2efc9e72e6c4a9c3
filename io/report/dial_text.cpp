#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "io/in_units.hpp"
#include "io/report/dial.hpp"
#include "sim/advise/as_written.hpp"
#include "sim/text.hpp"

namespace ovolo::io {
namespace {

constexpr double kDegrees = 180 / std::numbers::pi;

// What an edge beyond a side looks like, told by the wish that breaks there.
std::string there(const DialSide& side) {
  const SectionMeasures& m = side.there;
  if (!m.cut) return "nothing is cut";
  switch (side.room.breaks) {
    case Wish::lip:
      return "a lip of " + fine_units(m.lip.value_or(0));
    case Wish::band:
      return "a flat band of " + fine_units(m.band.value_or(0));
    case Wish::face_break:
      return fmt::format("a face break of {:.1f} degrees", m.face_break.value_or(0) * kDegrees);
    case Wish::wall_break:
      return fmt::format("a wall break of {:.1f} degrees", m.wall_break.value_or(0) * kDegrees);
    case Wish::hidden:
      return fmt::format("a foot {} deep", fine_units(m.foot_depth.value_or(0)));
    case Wish::foot:
      return "no foot on the wall";
    case Wish::cut:
      return "hardly anything cut";
    case Wish::limit:
      break;
  }
  return "the end of what the sheet allows";
}

std::string cost(const DialSide& side) {
  std::string out = fmt::format("{} beyond: {}", both_units(side.beyond), there(side));
  if (side.there.blend > 5e-4)
    out += fmt::format(", {} of the section to sand off", area_units(side.there.blend));
  if (side.there.gouge > 5e-4)
    out += fmt::format(", {} of the section cut too much", area_units(side.there.gouge));
  return out;
}

void side_line(std::string& out, const char* way, const DialSide& side) {
  out +=
      fmt::format("    {:<12} {:>20}  {:<17} {}\n", way, fine_units(side.room.distance),
                  side.room.breaks == Wish::limit ? "(end of range)" : name_of(side.room.breaks), cost(side));
}

std::string names(const std::vector<Wish>& wishes) {
  std::vector<std::string> list;
  for (const Wish w : wishes) list.emplace_back(name_of(w));
  return list_text(list);
}

// An edge in figures, for a setting that leaves a wish aside.
std::string looks(const SectionMeasures& m) {
  std::vector<std::string> list;
  if (m.lip) list.push_back("a lip of " + fine_units(*m.lip));
  if (m.face_break) list.push_back(fmt::format("a face break of {:.1f} degrees", *m.face_break * kDegrees));
  if (m.band) list.push_back("a flat band of " + fine_units(*m.band));
  if (m.wall_break) list.push_back(fmt::format("a wall break of {:.1f} degrees", *m.wall_break * kDegrees));
  if (m.foot_depth) list.push_back(fmt::format("its foot {} deep", fine_units(*m.foot_depth)));
  return list_text(list);
}

// Why the two ways along the depth are not alike; told once, where a roundover is dialled.
const char* kUneven =
    "  Too deep leaves a lip at once, as high as the error; too shallow leaves only a break at the face, but "
    "that grows\n"
    "  as the square root of the error: quickly at first, slowly then.\n";

void edge_text(std::string& out, const Job& job, const DialedEdge& d) {
  const Operation& op = job.operations[d.operation];
  out += fmt::format("\n{}  (bit '{}', contour '{}')\n", op.name, job.bits[op.bit].id,
                     op.contour >= 0 ? job.contours[static_cast<std::size_t>(op.contour)].id : "");
  if (!d.unanswered.empty()) {
    out += "  nothing to dial: " + d.unanswered + '\n';
    return;
  }
  if (const auto& bit = job.bits[op.bit].roundover; bit && !bit->disagreement.empty())
    out += "  DOUBTFUL READINGS: " + bit->disagreement + '\n';
  for (const Conflict& c : d.conflicts) {
    out += c.wishes.size() == 1
               ? fmt::format("  NO SETTING meets the wish for {} with this bit.\n", names(c.wishes))
               : fmt::format("  NO SETTING meets the wishes for {} together.\n", names(c.wishes));
    if (!c.cures.empty()) out += "  Any one of these would do:\n";
    for (const std::string& cure : c.cures) out += "    - " + cure + '\n';
  }
  if (!d.set_aside.empty())
    out += fmt::format(
        "  The setting below leaves the wish for {} aside: it is good for the others, and misses that one by "
        "as "
        "little as they allow.\n",
        names(d.set_aside));
  if (d.face.up + d.face.down > 5e-4)
    out += fmt::format(
        "  along this edge the face stands from {} below to {} above where Z zero takes it to "
        "be: "
        "counted\n",
        fine_units(d.face.down), fine_units(d.face.up));
  const std::string depth = fine_units(as_written(d.depth, job.inch)),
                    offset = fine_units(as_written(d.offset, job.inch));
  if (op.kind == OperationKind::program)
    out += fmt::format("  aim the program at depth {} and offset {} (of its path off the line)\n", depth,
                       offset);
  else
    out += fmt::format("  set depth to {} and offset to {}\n", depth, offset);
  out += fmt::format("  chance of an edge within every wish: {}", percent_text(1 - d.failure));
  out += fmt::format("   (now, at {} and {}: {})\n", fine_units(op.depth), fine_units(op.offset),
                     percent_text(1 - d.failure_now));
  if (d.conflicts.empty()) {
    out += "  room before the first wish breaks, and what it costs to be on either side\n";
    side_line(out, "deeper", d.deeper);
    side_line(out, "shallower", d.shallower);
    side_line(out, "further out", d.outward);
    side_line(out, "further in", d.inward);
    if (job.bits[op.bit].roundover) out += kUneven;
  }
  std::string breaks;
  for (int i = 0; i < kWishes; ++i)
    if (d.failures[static_cast<std::size_t>(i)] > 5e-4)
      breaks += fmt::format("{}{} {}", breaks.empty() ? "" : ", ", name_of(static_cast<Wish>(i)),
                            percent_text(d.failures[static_cast<std::size_t>(i)]));
  if (!breaks.empty()) out += "  what breaks, by itself: " + breaks + '\n';
  if (!d.set_aside.empty()) {
    out += fmt::format("  cut so, an edge has {}{}\n", looks(d.measures),
                       d.face.up + d.face.down > 5e-4 ? " where the face stands as Z zero takes it to" : "");
    return;
  }
  if (d.failure > 0.005) {
    out += fmt::format(
        "  with a third of the Z error it would be {}, with a third of the bit's reading error {}\n",
        percent_text(1 - d.failure_with_better_zero), percent_text(1 - d.failure_with_better_readings));
    const auto& bit = job.bits[op.bit].roundover;
    if (bit && !bit->readings.working_depth)
      out += fmt::format(
          "  the working depth was not read but deduced, which leaves it +-{}: read it on the bit "
          "itself\n",
          fine_units(bit->working_depth_error));
    else if (std::abs(d.failure_with_better_readings - d.failure_with_better_zero) < 2e-3)
      out +=
          "  either gains as much: zero Z more closely, or read the bit again and fit it to a test cut "
          "(ovolo fit)\n";
    else if (d.failure_with_better_readings < d.failure_with_better_zero)
      out += "  the surest gain: read the bit again, several times, or fit it to a test cut (ovolo fit)\n";
    else
      out += "  the surest gain: zero Z more closely\n";
  }
}

}  // namespace

std::string percent_text(double chance) {
  if (chance > 0.9995) return "over 99.9 %";
  return chance < 0.0005 ? "under 0.1 %" : fmt::format("{:.1f} %", 100 * chance);
}

std::string dial_text(const Job& job, const std::vector<DialedEdge>& dialed, const SettingErrors& errors) {
  std::string out = fmt::format("{}: settings to use\n", job.title);
  out += fmt::format("errors counted (one standard deviation): Z {}, zeroed on the {}", fine_units(errors.z),
                     errors.zero_on == ZeroOn::face ? "face" : "spoilboard");
  if (errors.zero_on == ZeroOn::spoilboard)
    out += fmt::format("; sheet thickness {}", fine_units(errors.thickness));
  out += errors.readings ? fmt::format("; bit readings {}", fine_units(*errors.readings))
                         : "; bit readings as told with each bit";
  out += fmt::format("; axis {}; runout {}\n", fine_units(errors.xy), fine_units(errors.runout));
  if (dialed.empty())
    out +=
        "\nthere is nothing to dial: the scene has no edge operation, and no program that passes a contour\n";
  for (const DialedEdge& d : dialed) edge_text(out, job, d);
  out +=
      "\nChances are of a level pass along a straight edge that no other operation touches; corners and "
      "ramps are "
      "not in\n"
      "them. A sheet that is not flat must do everywhere along the edge. Cut scrap first.\n";
  return InUnits(job.inch).sentence(out);
}

}  // namespace ovolo::io
