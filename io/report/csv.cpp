#include <fmt/format.h>

#include <numbers>

#include "io/report/decimals.hpp"
#include "io/report/report.hpp"
#include "io/report/shop.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo::io {
namespace {

std::string quoted(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + '"';
}

std::string number(double v) { return fmt::format("{:.4f}", mm(v)); }
std::string number(const std::optional<double>& v) { return v ? number(*v) : ""; }
std::string angle(const std::optional<double>& v) { return v ? number(*v * 180 / std::numbers::pi) : ""; }

const char* name_of(const Station& s) {
  if (s.kind == StationKind::edge) return "edge";
  return s.kind == StationKind::end ? "end" : "unreached";
}

std::string folded_columns(const EdgeMeasures& e, const SectionMeasures& m) {
  const OtherFace other = m.other.value_or(OtherFace{});
  return fmt::format(",{},{},{},{},{},{},{},{},{},{}", e.face == Face::top ? "top" : "bottom",
                     number(other.lip), number(other.band), angle(other.face_break), angle(other.wall_break),
                     number(other.foot_depth), number(m.mismatch), number(m.wall_left), number(m.thinnest),
                     number(m.overcut));
}

}  // namespace

std::string sections_csv(const Job& job, const Measures& measures) {
  std::string out =
      "operation,contour,copies,s_mm,weight_mm,x_mm,y_mm,kind,lip_height_mm,band_width_mm,face_break_deg,"
      "wall_break_deg,"
      "foot_depth_mm,curve_length_mm,round_width_mm,excess_mm2,gouge_mm2,excess_max_mm,gouge_max_mm,blend_"
      "mm2";
  for (const Layer& l : job.stock.layers)
    out += fmt::format(",{}", quoted(fmt::format("exposure_{}_mm", l.name)));
  const bool folded = needs_voxels(job);
  if (folded)
    out +=
        ",face,other_lip_height_mm,other_band_width_mm,other_face_break_deg,other_wall_break_deg,"
        "other_foot_depth_mm,mismatch_mm,wall_left_mm,smallest_thickness_mm,overcut_mm";
  out += '\n';
  for (const EdgeMeasures& e : measures.edges)
    for (const Station& s : e.stations) {
      const SectionMeasures& m = s.measures;
      out +=
          fmt::format("{},{},{},{},{},{},{},{},{},{},{},{},{},{},{},{},{},{},{},{}",
                      quoted(job.operations[e.operation].name), quoted(e.contour), e.copies.size(),
                      number(s.s), number(s.weight), number(s.point.x), number(s.point.y), name_of(s),
                      number(m.lip), number(m.band), angle(m.face_break), angle(m.wall_break),
                      number(m.foot_depth), number(m.curve_length), number(m.round_width), number(m.excess),
                      number(m.gouge), number(m.excess_max), number(m.gouge_max), number(m.blend));
      for (const double x : m.exposure) out += fmt::format(",{}", number(x));
      if (folded) out += folded_columns(e, m);
      out += '\n';
    }
  return out;
}

std::string loads_csv(const Job& job, const ShopEstimate& shop) {
  std::string out =
      "operation,pass,bit,s_mm,x_mm,y_mm,section_mm2,rate_mm3_s,chip_load_mm,width_mm,depth_mm,"
      "tip_speed_m_s,rim_speed_m_s,power_w,tip_index\n";
  for (const PassLoad& p : shop.loads)
    for (const LoadPlace& at : p.along)
      out += fmt::format("{},{},{},{},{},{},{},{},{},{},{},{},{},{},{}\n",
                         quoted(job.operations[p.operation].name), p.pass + 1, quoted(job.bits[p.bit].id),
                         number(at.s), number(at.at.x), number(at.at.y), number(at.section), number(at.rate),
                         number(at.chip_load), number(at.width), number(at.depth), number(at.inner_speed),
                         number(at.outer_speed), number(at.power), number(at.index));
  return out;
}

}  // namespace ovolo::io
