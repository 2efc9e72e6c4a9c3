#include "io/report/walk.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>
#include <numbers>

#include "io/bits/tip_flat.hpp"
#include "io/json_text.hpp"
#include "io/report/decimals.hpp"
#include "io/report/form_numbers.hpp"
#include "sim/measure/across.hpp"
#include "sim/measure/folded_measures.hpp"
#include "sim/measure/section.hpp"
#include "sim/measure/verdict.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo::io {
namespace {

using Json = nlohmann::ordered_json;

constexpr auto kNone = static_cast<std::size_t>(-1);  // no station is shown first

double plan_mm(double v) { return in_steps(v, 1e5); }
double degrees(double radians) { return page_mm(radians * 180 / std::numbers::pi); }
Json optional_mm(const std::optional<double>& v) { return v ? Json(page_mm(*v)) : Json(nullptr); }
Json optional_degrees(const std::optional<double>& v) { return v ? Json(degrees(*v)) : Json(nullptr); }
Json positive(double v) { return v > 0 ? Json(page_mm(v)) : Json(nullptr); }

std::string color_text(const std::array<std::uint8_t, 3>& c) {
  return fmt::format("#{:02x}{:02x}{:02x}", c[0], c[1], c[2]);
}

Json segment_json(const Segment& s, int kind) {
  Json out = {kind, plan_mm(s.a.x), plan_mm(s.a.y), plan_mm(s.b.x), plan_mm(s.b.y)};
  if (s.is_arc())
    for (const double v : {s.centre.x, s.centre.y, s.radius, s.angle, s.sweep}) out.push_back(plan_mm(v));
  return out;
}

Json segments_json(const std::vector<Segment>& list) {
  Json out = Json::array();
  for (const Segment& s : list) out.push_back(segment_json(s, s.is_arc() ? 1 : 0));
  return out;
}

Json pieces_json(const Section& section) {
  Json out = Json::array();
  for (const SectionPiece& p : section.pieces) {
    if (p.kind != SectionPiece::Kind::curve) {
      out.push_back(segment_json(p.shape, p.shape.is_arc() ? 1 : 0));
      continue;
    }
    Json curve = {2};
    for (const Vec2& q : p.points) {
      curve.push_back(plan_mm(q.x));
      curve.push_back(plan_mm(q.y));
    }
    out.push_back(curve);
  }
  return out;
}

Json form_json(const WantedForm& wanted) {
  return {{"width", page_mm(wanted.width)},
          {"depth", page_mm(wanted.depth)},
          {"face_break", degrees(own_face_break(wanted))},
          {"wall_break", degrees(own_wall_break(wanted))},
          {"curve", segments_json(wanted.curve)}};
}

const char* kind_name(OperationKind kind) {
  switch (kind) {
    case OperationKind::edge:
      return "edge";
    case OperationKind::pocket:
      return "pocket";
    case OperationKind::cut_out:
      return "cut_out";
    case OperationKind::program:
      return "program";
    case OperationKind::turn:
      return "turn";
  }
  return "";
}

const char* keep_name(Keep keep) {
  switch (keep) {
    case Keep::inside:
      return "inside";
    case Keep::outside:
      return "outside";
    case Keep::left:
      return "left";
    case Keep::right:
      return "right";
  }
  return "";
}

// The bits file that keeps a bit, as seen from the scene's folder; null for a bit of the scene's own.
Json kept_in(const Bit& bit, const std::string& scene) {
  if (bit.source.file.empty() || bit.source.file == scene) return nullptr;
  const std::filesystem::path file(bit.source.file), folder = std::filesystem::path(scene).parent_path();
  const std::filesystem::path seen = file.lexically_relative(folder.empty() ? "." : folder);
  return (seen.empty() ? file.filename() : seen).generic_string();
}

Json bit_json(const Bit& bit, const std::string& scene) {
  Json readings = Json::array();
  for (const BitReading& r : bit.readings)
    readings.push_back(
        {{"what", r.what}, {"value", page_mm(r.value)}, {"error", page_mm(r.error)}, {"date", r.date}});
  Json numbers = Json::array();
  for (const FormNumber& n : form_numbers(bit))
    numbers.push_back({{"key", n.key},
                       {"name", n.name},
                       {"value", page_mm(n.value)},
                       {"lo", page_mm(n.lo)},
                       {"hi", page_mm(n.hi)},
                       {"angle", n.angle}});
  return {{"id", bit.id},
          {"form", bit.form},
          {"radius", positive(bit.nominal_radius)},
          {"working_depth", positive(bit.working_depth)},
          {"tip_flat", page_mm(tip_flat(bit))},
          {"cutting_diameter", page_mm(2 * bit.profile.cutting_radius())},
          {"flutes", bit.flutes},
          {"cutting_length", optional_mm(bit.cutting_length)},
          {"shank_diameter", optional_mm(bit.shank_diameter)},
          {"max_spindle", optional_mm(bit.max_spindle)},
          {"date", bit.date},
          {"readings", readings},
          {"kept_in", kept_in(bit, scene)},
          {"numbers", numbers},
          {"chain", segments_json(bit.profile.chain())}};
}

Json turn_json(const Turn& turn) {
  return {{"about", turn.about == Turn::About::x ? "x" : "y"},
          {"registration", {page_mm(turn.error.x), page_mm(turn.error.y)}},
          {"angle", degrees(turn.angle)},
          {"time", page_mm(turn.time)}};
}

Json operation_json(const Job& job, const Operation& op) {
  Json passes = Json::array();
  for (const double p : op.passes) passes.push_back(page_mm(p));
  const bool drawn = op.contour >= 0;
  return {
      {"name", op.name},
      {"kind", kind_name(op.kind)},
      {"bit",
       op.kind != OperationKind::turn && op.bit < job.bits.size() ? job.bits[op.bit].id : std::string()},
      {"contour", drawn ? job.contours[static_cast<std::size_t>(op.contour)].id : std::string()},
      {"keep", keep_name(op.keep)},
      {"offset", page_mm(op.offset)},
      {"depth", page_mm(op.depth)},
      {"passes", passes},
      {"pass_count", op.split ? Json(op.split->count) : Json(nullptr)},
      {"pass_balanced", op.split && op.split->balanced},
      {"pass_finish", op.split ? page_mm(op.split->finish) : 0},
      {"feed", positive(op.feed)},
      {"plunge_feed", positive(op.plunge_feed)},
      {"spindle", positive(op.spindle)},
      {"ramp", positive(op.ramp)},
      {"overlap", positive(op.overlap)},
      {"stepover", positive(op.stepover)},
      {"direction", op.direction == Direction::climb ? "climb" : "conventional"},
      {"tabs",
       {{"count", op.tabs.count}, {"width", page_mm(op.tabs.width)}, {"height", page_mm(op.tabs.height)}}},
      {"place", op.kind == OperationKind::program
                    ? Json{page_mm(op.program_zero.x), page_mm(op.program_zero.y)}
                    : Json(nullptr)},
      {"turn", op.kind == OperationKind::turn ? turn_json(op.turn) : Json(nullptr)}};
}

Json settings(const Job& job) {
  Json layers = Json::array(), bits = Json::array(), contours = Json::array(), operations = Json::array();
  for (const Layer& l : job.stock.layers)
    layers.push_back({{"name", l.name}, {"thickness", page_mm(l.thickness)}, {"color", color_text(l.color)}});
  for (const Bit& b : job.bits) bits.push_back(bit_json(b, job.file));
  for (const NamedContour& c : job.contours) {
    Json at = Json::array();
    for (const Vec2& p : c.at) at.push_back({page_mm(p.x), page_mm(p.y)});
    contours.push_back({{"id", c.id},
                        {"closed", c.contour.closed()},
                        {"at", at},
                        {"segments", segments_json(c.contour.segments())}});
  }
  for (const Operation& op : job.operations) operations.push_back(operation_json(job, op));
  return {{"inch", job.inch},
          {"size", {page_mm(job.stock.width), page_mm(job.stock.height)}},
          {"thickness", page_mm(job.stock.thickness())},
          {"spoilboard", page_mm(job.stock.spoilboard)},
          {"layers", layers},
          {"bits", bits},
          {"contours", contours},
          {"operations", operations},
          {"errors",
           {{"zero_on", job.errors.zero_on == ZeroOn::face ? "face" : "spoilboard"},
            {"z", page_mm(job.errors.z)},
            {"xy", page_mm(job.errors.xy)},
            {"runout", page_mm(job.errors.runout)},
            {"thickness", page_mm(job.errors.thickness)}}},
          {"wishes",
           {{"lip", page_mm(job.wishes.lip)},
            {"band", page_mm(job.wishes.band)},
            {"face_break", degrees(job.wishes.face_break)},
            {"wall_break", degrees(job.wishes.wall_break)},
            {"hidden", job.wishes.hidden}}}};
}

// Every `step`-th station and the one to be shown.
std::vector<std::size_t> kept_stations(std::size_t count, std::size_t step, std::size_t shown) {
  std::vector<std::size_t> kept;
  for (std::size_t i = 0; i < count; ++i)
    if (i % step == 0 || i + 1 == count || i == shown) kept.push_back(i);
  return kept;
}

class EdgeWalk {
 public:
  EdgeWalk(const Job& job, SectionMaker& maker, const EdgeMeasures& edge)
      : job_(job), maker_(maker), edge_(edge), op_(job.operations[edge.operation]) {}

  Json json(const std::vector<std::size_t>& kept, std::size_t shown) {
    const WantedForm wanted = wanted_form(op_, job_.bits[op_.bit]);
    const Contour contour = contour_of().translated(edge_.copies.front());
    Json stations = Json::array();
    Json shown_index = nullptr;
    for (const std::size_t i : kept) {
      if (i == shown) shown_index = stations.size();
      stations.push_back(station(edge_.stations[i], wanted));
    }
    const bool left = edge_.stations.empty() || part_on_left(contour);
    return {{"operation", edge_.operation},
            {"contour", segments_json(contour.segments())},
            {"closed", contour.closed()},
            {"length", page_mm(contour.length())},
            {"left", left},
            {"folded", needs_voxels(job_)},
            {"face", edge_.face == Face::top ? "top" : "bottom"},
            {"both", edge_.other.has_value()},
            {"wanted", form_json(wanted)},
            {"shown", shown_index},
            {"columns",
             {"s", "x", "y", "nx", "ny", "kind", "lip", "band", "face_break", "wall_break", "foot_depth",
              "curve_length", "round_width", "section", "exposure", "other", "across"}},
            {"stations", stations},
            {"sections", sections_}};
  }

 private:
  const Contour& contour_of() const { return job_.contours[static_cast<std::size_t>(op_.contour)].contour; }

  bool part_on_left(const Contour& contour) const {
    const Station& s = edge_.stations.front();
    return cross(contour.tangent(s.s), s.normal) > 0;
  }

  Json station(const Station& s, const WantedForm& wanted) {
    const SectionMeasures& m = s.measures;
    Json exposure = Json::array();
    for (const double v : m.exposure) exposure.push_back(page_mm(v));
    // All of the moulded surface and some of the face behind it.
    const double seen = 1.7 * std::max(wanted.width, m.round_width) + 1;
    Section section = maker_.make({s.point, s.normal, std::min(s.reach, seen)});
    std::optional<Section> across = across_the_line(maker_, job_.stock, s, section, seen);
    if (section.folded && from_below(edge_)) {
      section = turned_section(section);
      if (across) across = turned_section(*across);
    }
    return {plan_mm(s.s),
            plan_mm(s.point.x),
            plan_mm(s.point.y),
            plan_mm(s.normal.x),
            plan_mm(s.normal.y),
            static_cast<int>(s.kind),
            optional_mm(m.lip),
            optional_mm(m.band),
            optional_degrees(m.face_break),
            optional_degrees(m.wall_break),
            optional_mm(m.foot_depth),
            page_mm(m.curve_length),
            page_mm(m.round_width),
            number_of(pieces_json(section)),
            exposure,
            other_json(m),
            across ? Json(number_of(pieces_json(*across))) : Json(nullptr)};
  }

  // What a form leaves at the other face, and what only folded sections tell; null elsewhere.
  static Json other_json(const SectionMeasures& m) {
    if (!m.wall_left) return nullptr;
    Json out = {{"mismatch", optional_mm(m.mismatch)},
                {"wall_left", optional_mm(m.wall_left)},
                {"thinnest", optional_mm(m.thinnest)}};
    if (!m.other) return out;
    out["lip"] = optional_mm(m.other->lip);
    out["band"] = optional_mm(m.other->band);
    out["face_break"] = optional_degrees(m.other->face_break);
    out["foot_depth"] = optional_mm(m.other->foot_depth);
    return out;
  }

  std::size_t number_of(Json pieces) {
    const auto [at, fresh] = known_.emplace(json_line(pieces), sections_.size());
    if (fresh) sections_.push_back(std::move(pieces));
    return at->second;
  }

  const Job& job_;
  SectionMaker& maker_;
  const EdgeMeasures& edge_;
  const Operation& op_;
  Json sections_ = Json::array();
  std::map<std::string, std::size_t> known_;
};

}  // namespace

std::string walk_json(const Job& job, const Plan& plan, const MoveIndex& index, const Measures& measures,
                      const std::vector<std::optional<std::size_t>>& shown, std::size_t most) {
  std::size_t total = 0;
  for (const EdgeMeasures& e : measures.edges) total += e.stations.size();
  const std::size_t step = std::max<std::size_t>(1, (total + most - 1) / std::max<std::size_t>(most, 1));
  SectionMaker maker(job, plan, index);
  Json walk = Json::array();
  for (std::size_t i = 0; i < measures.edges.size(); ++i) {
    const EdgeMeasures& e = measures.edges[i];
    const std::size_t which = i < shown.size() ? shown[i].value_or(kNone) : kNone;
    walk.push_back(EdgeWalk(job, maker, e).json(kept_stations(e.stations.size(), step, which), which));
  }
  return json_line({{"settings", settings(job)}, {"thinned", step}, {"walk", walk}});
}

std::string settings_json(const Job& job) { return json_line(settings(job)); }

std::string wanted_json(const WantedForm& wanted) { return json_line(form_json(wanted)); }

std::string section_json(const Section& section) { return json_line(pieces_json(section)); }

}  // namespace ovolo::io
