#include <nlohmann/json.hpp>
#include <numbers>

#include "io/bits/tip_flat.hpp"
#include "io/json_text.hpp"
#include "io/report/decimals.hpp"
#include "io/report/program.hpp"
#include "io/report/report.hpp"
#include "io/report/shop.hpp"
#include "io/report/used_bits.hpp"
#include "io/version.hpp"

namespace ovolo::io {
namespace {

using Json = nlohmann::ordered_json;

double degrees(double radians) { return mm(radians * 180 / std::numbers::pi); }
Json point(Vec2 p) { return Json::array({mm(p.x), mm(p.y)}); }

template <class Convert>
Json stat(const std::optional<Stat>& s, Convert convert) {
  if (!s) return nullptr;
  return {{"min", convert(s->min)},
          {"mean", convert(s->mean)},
          {"max", convert(s->max)},
          {"worst_at", point(s->worst_at)}};
}

Json deviation(const Deviation& d) {
  return {{"section_mm2", stat(d.section, mm)}, {"max_mm", mm(d.max)}, {"volume_mm3", mm(d.volume)}};
}

Json apart(const std::vector<Unreached>& list) {
  Json out = Json::array();
  for (const Unreached& u : list)
    out.push_back({{"at", point(u.at)}, {"length_mm", mm(u.length)}, {"reason", u.reason}});
  return out;
}

Json verdict(const Verdict& v) { return {{"good", v.good}, {"text", v.text}}; }
Json edge_verdict(const Verdict& v) {
  return {{"good", v.good}, {"text", v.text}, {"wrong", v.wrong}, {"mend", v.mend}};
}

// Each turning over of the sheet, and after which operation.
Json turns_json(const Job& job) {
  Json out = Json::array();
  std::string after;
  for (const Operation& op : job.operations) {
    if (op.kind == OperationKind::turn)
      out.push_back({{"operation", op.name},
                     {"after", after.empty() ? Json(nullptr) : Json(after)},
                     {"about", op.turn.about == Turn::About::x ? "x" : "y"},
                     {"registration_mm", point(op.turn.error)},
                     {"angle_deg", degrees(op.turn.angle)},
                     {"seconds", mm(op.turn.time)}});
    after = op.name;
  }
  return out;
}

Json bit_json(const Bit& bit) {
  return {{"form", bit.form},
          {"radius_mm", bit.nominal_radius > 0 ? Json(mm(bit.nominal_radius)) : Json(nullptr)},
          {"working_depth_mm", mm(bit.working_depth)},
          {"tip_flat_mm", mm(tip_flat(bit))},
          {"cutting_diameter_mm", mm(2 * bit.profile.cutting_radius())},
          {"undercut", bit.profile.undercut()}};
}

Json program_range(const ProgramPathReport::Range& r, Vec2 worst) {
  return {{"min", mm(r.min)}, {"mean", mm(r.mean)}, {"max", mm(r.max)}, {"worst_at", point(worst)}};
}

// What a program really does along the contour; null where it never passes.
Json program_json(const Job& job, const EdgeMeasures& e) {
  const Operation& op = job.operations[e.operation];
  Json out = {{"file", op.program_file}, {"notes", op.notes}};
  const auto path = program_path(job, e);
  if (!path) return out;
  out["offset_mm"] = program_range(path->offset, path->offset.min_at);
  out["depth_mm"] = program_range(path->depth, path->depth.max_at);
  out["nearest_mm"] = mm(path->nearest);
  out["nearest_line"] = path->nearest_line;
  out["reached_mm"] = mm(path->reached);
  out["passes"] = path->passes;
  return out;
}

/// What was said of a contour out of a drawing: its overall size, units, what was joined.
Json notes_of(const Job& job, const std::string& contour) {
  for (const NamedContour& c : job.contours)
    if (c.id == contour) return c.notes;
  return Json::array();
}

const char* face_name(Face face) { return face == Face::top ? "top" : "bottom"; }

// What only sections of undercut bits and turned sheets tell.
void add_folded(Json& out, const EdgeMeasures& e) {
  if (!e.wall_left) return;
  if (e.other) {
    const OtherFaceStats& o = *e.other;
    out["other_face"] = {{"face", face_name(e.face == Face::top ? Face::bottom : Face::top)},
                         {"lip_height_mm", stat(o.lip, mm)},
                         {"band_width_mm", stat(o.band, mm)},
                         {"face_break_deg", stat(o.face_break, degrees)},
                         {"wall_break_deg", stat(o.wall_break, degrees)},
                         {"foot_depth_mm", stat(o.foot_depth, mm)},
                         {"round_width_mm", stat(o.round_width, mm)}};
  }
  out["mismatch_mm"] = stat(e.mismatch, mm);
  out["wall_left_mm"] = stat(e.wall_left, mm);
  out["smallest_thickness_mm"] = stat(e.thinnest, mm);
  out["overcut_mm"] = stat(e.overcut, mm);
}

Json edge_json(const Job& job, const EdgeMeasures& e) {
  const Operation& op = job.operations[e.operation];
  Json exposure = Json::array();
  for (const Exposure& x : e.exposure)
    exposure.push_back({{"layer", x.layer}, {"length_mm", stat(x.length, mm)}, {"area_mm2", mm(x.area)}});
  Json at = Json::array();
  for (const Vec2& c : e.copies) at.push_back(point(c));
  Json out = {{"operation", op.name},
              {"contour", e.contour},
              {"contour_notes", notes_of(job, e.contour)},
              {"bit", job.bits[op.bit].id},
              {"depth_mm", mm(op.depth)},
              {"offset_mm", mm(op.offset)},
              {"face", face_name(e.face)},
              {"copies", e.copies.size()},
              {"at", at},
              {"length_mm", mm(e.length)},
              {"stations", e.stations.size()},
              {"lip_height_mm", stat(e.lip, mm)},
              {"band_width_mm", stat(e.band, mm)},
              {"face_break_deg", stat(e.face_break, degrees)},
              {"wall_break_deg", stat(e.wall_break, degrees)},
              {"own_face_break_deg", degrees(e.own_face_break)},
              {"own_wall_break_deg", degrees(e.own_wall_break)},
              {"foot_depth_mm", stat(e.foot_depth, mm)},
              {"curve_length_mm", stat(e.curve_length, mm)},
              {"round_width_mm", stat(e.round_width, mm)},
              {"exposure", exposure},
              {"excess", deviation(e.excess)},
              {"gouge", deviation(e.gouge)},
              {"blend", {{"section_mm2", mm(e.blend_mean)}, {"volume_mm3", mm(e.blend_volume)}}},
              {"narrow_web_mm", mm(e.web)},
              {"unreached", apart(e.unreached)},
              {"ends", apart(e.ends)},
              {"shared_with", e.shared_with},
              {"verdict", edge_verdict(e.verdict)}};
  add_folded(out, e);
  if (op.kind == OperationKind::program) out["program"] = program_json(job, e);
  return out;
}

// The setting to use, as `dial` finds it.
Json advice_json(const DialedEdge& d) {
  if (!d.unanswered.empty()) return nullptr;
  Json aside = Json::array();
  for (const Wish w : d.set_aside) aside.push_back(name_of(w));
  return {{"depth_mm", mm(d.depth)},
          {"offset_mm", mm(d.offset)},
          {"chance", mm(1 - d.failure)},
          {"chance_now", mm(1 - d.failure_now)},
          {"set_aside", aside}};
}

}  // namespace

std::string report_json(const ReportInput& in) {
  const Job& job = *in.job;
  Json bits = Json::object();
  for (std::size_t i = 0; i < job.bits.size(); ++i) {
    Json& bit = bits[job.bits[i].id] = bit_json(job.bits[i]);
    bit["used"] = used(job, i);
  }
  Json edges = Json::array();
  for (std::size_t i = 0; i < in.measures->edges.size(); ++i) {
    edges.push_back(edge_json(job, in.measures->edges[i]));
    if (i < in.dialed.size() && in.dialed[i]) edges.back()["advice"] = advice_json(*in.dialed[i]);
  }
  Json layers = Json::array();
  for (std::size_t i = 0; i < job.stock.layers.size(); ++i) {
    const Layer& l = job.stock.layers[i];
    Json layer = {{"name", l.name}, {"thickness_mm", mm(l.thickness)}};
    if (in.removed) layer["removed_volume_mm3"] = mm(in.removed->by_layer[i]);
    layers.push_back(layer);
  }
  Json stock = {{"size_mm", {mm(job.stock.width), mm(job.stock.height)}},
                {"thickness_mm", mm(job.stock.thickness())}};
  if (in.removed) stock["removed_volume_mm3"] = mm(in.removed->total);
  if (in.solid) {
    if (in.solid->part_volume) stock["part_volume_mm3"] = mm(*in.solid->part_volume);
    if (!in.solid->files.empty())
      stock["solid"] = {{"files", in.solid->files},
                        {"of", in.solid->whole_sheet ? "sheet" : "part"},
                        {"tolerance_mm", mm(in.solid->tolerance)},
                        {"triangles", in.solid->triangles},
                        {"volume_mm3", mm(in.solid->volume)}};
  }
  stock["layers"] = layers;
  Json warnings = Json::array();
  for (const Warning& w : warnings_of(in)) {
    Json entry = {{"code", w.code}, {"text", w.text}};
    if (w.operation >= 0) entry["operation"] = job.operations[static_cast<std::size_t>(w.operation)].name;
    if (w.source.line > 0) entry["line"] = w.source.line;
    if (w.source.line > 0 && w.source.file != job.file) entry["file"] = w.source.file;
    warnings.push_back(entry);
  }
  Json report = {{"ovolo", {{"version", version()}, {"report", 1}}},
                 {"scene", {{"title", job.title}, {"file", job.file}}},
                 {"verdict", verdict(in.measures->verdict)},
                 {"bits", bits},
                 {"edges", edges},
                 {"stock", stock},
                 {"warnings", warnings},
                 {"cautions", cautions()},
                 {"pictures", in.pictures},
                 {"timing",
                  {{"carve_s", mm(in.timing.carve)},
                   {"measure_s", mm(in.timing.measure)},
                   {"render_s", mm(in.timing.render)},
                   {"cells", in.timing.cells}}}};
  Json turns = turns_json(job);
  if (!turns.empty()) report["turns"] = turns;
  if (in.shop) report["shop"] = shop_json(job, *in.shop);
  return json_file(report);
}

}  // namespace ovolo::io
