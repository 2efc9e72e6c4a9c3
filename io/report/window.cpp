#include "io/report/window.hpp"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "io/json_text.hpp"
#include "io/report/decimals.hpp"
#include "sim/advise/broken.hpp"
#include "sim/measure/folded_measures.hpp"
#include "sim/parallel.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo::io {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t kColumns = 81, kRows = 65;

double between(double lo, double hi, std::size_t i, std::size_t count) {
  return lo + (hi - lo) * static_cast<double>(i) / static_cast<double>(count - 1);
}

// The first wish that breaks anywhere along an edge whose face stands so.
char letter_at(double depth, double offset, const UnevenFace& face, const Job& job, const StraightCut& cut) {
  const auto at = [&](double d) {
    return d > 0 ? window_letter(cut.measures(cut.section(d, offset)), job, cut.wanted()) : 'n';
  };
  if (face.up + face.down <= 0) return at(depth);
  const char deep = at(depth + face.up);
  return deep != '.' ? deep : at(depth - face.down);
}

void fill_rows(SettingWindow& w, const Job& job, const StraightCut& cut, const UnevenFace& face) {
  w.rows.assign(kRows, std::string(kColumns, ' '));
  parallel_for(kRows, [&](std::size_t k) {
    const double depth = between(w.depth_lo, w.depth_hi, k, kRows);
    for (std::size_t i = 0; i < kColumns; ++i) {
      const double offset = between(w.offset_lo, w.offset_hi, i, kColumns);
      w.rows[k][i] = letter_at(depth, offset, face, job, cut);
    }
  });
}

Json side(const DialSide& s) {
  return {{"room", page_mm(s.room.distance)},
          {"breaks", s.room.breaks == Wish::limit ? Json(nullptr) : Json(name_of(s.room.breaks))}};
}

Json dial_answer(const DialedEdge& d) {
  if (!d.unanswered.empty()) return Json{{"unanswered", d.unanswered}};
  Json cures = Json::array(), aside = Json::array();
  for (const Conflict& c : d.conflicts)
    for (const std::string& cure : c.cures) cures.push_back(cure);
  for (const Wish w : d.set_aside) aside.push_back(name_of(w));
  return {{"depth", page_mm(d.depth)},
          {"offset", page_mm(d.offset)},
          {"chance", page_mm(1 - d.failure)},
          {"chance_now", page_mm(1 - d.failure_now)},
          {"chance_better_zero", page_mm(1 - d.failure_with_better_zero)},
          {"chance_better_readings", page_mm(1 - d.failure_with_better_readings)},
          {"depth_sigma", page_mm(d.depth_sigma)},
          {"offset_sigma", page_mm(d.offset_sigma)},
          {"deeper", side(d.deeper)},
          {"shallower", side(d.shallower)},
          {"outward", side(d.outward)},
          {"inward", side(d.inward)},
          {"set_aside", aside},
          {"cures", cures}};
}

}  // namespace

char window_letter(const SectionMeasures& m, const Job& job, const WantedForm& wanted) {
  const WishSet broken = broken_wishes(m, job.wishes, wanted, job.stock);
  if (broken.has(Wish::cut)) return 'n';
  if (broken.has(Wish::lip) || !m.meets_face) return 'l';
  if (broken.has(Wish::band) || broken.has(Wish::foot)) return 'b';
  if (broken.has(Wish::face_break)) return 'f';
  if (broken.has(Wish::wall_break)) return 'w';
  return broken.has(Wish::hidden) ? 'h' : '.';
}

SettingWindow make_window(const Job& given, std::uint32_t operation, double depth, double offset) {
  Job job = given;
  if (turned_over(set_up_of(job, operation))) job.stock = turned_stock(job.stock);  // as it lies when cut
  const Operation& op = job.operations.at(operation);
  const StraightCut cut(job, op);
  const UnevenFace face = uneven_face(job, operation);
  const double width = std::max(cut.wanted().width, 0.5), tall = std::max(cut.wanted().depth, 0.5);
  const double flat = std::min(job.bits[op.bit].profile.tip_flat_radius(), width);
  const double shallowest = 0.01, deepest = job.stock.thickness();
  // First from the axis a little inside the line to well outside it, from half the form's depth to all of it.
  SettingWindow wide;
  wide.offset_lo = std::min(offset, 0.0) - 0.08 * width;
  wide.offset_hi = std::max(offset, flat) + 0.3 * width;
  wide.depth_lo = std::max(shallowest, std::min(depth, 0.55 * tall) - 0.02 * tall);
  wide.depth_hi = std::max(wide.depth_lo + 0.1, std::min(std::max(depth, tall) * 1.12, deepest));
  fill_rows(wide, job, cut, face);

  // Then about what was found, so that there is something to see of it.
  double o_lo = wide.offset_hi, o_hi = wide.offset_lo, d_lo = wide.depth_hi, d_hi = wide.depth_lo;
  for (std::size_t k = 0; k < kRows; ++k)
    for (std::size_t i = 0; i < kColumns; ++i) {
      if (wide.rows[k][i] != '.') continue;
      const double o = between(wide.offset_lo, wide.offset_hi, i, kColumns),
                   d = between(wide.depth_lo, wide.depth_hi, k, kRows);
      o_lo = std::min(o_lo, o);
      o_hi = std::max(o_hi, o);
      d_lo = std::min(d_lo, d);
      d_hi = std::max(d_hi, d);
    }
  if (o_lo > o_hi) return wide;
  const double o_room = std::max(o_hi - o_lo, 0.03 * width), d_room = std::max(d_hi - d_lo, 0.03 * tall);
  SettingWindow near;
  near.offset_lo = std::max(wide.offset_lo, std::min(o_lo - 1.2 * o_room, offset - 0.5 * o_room));
  near.offset_hi = std::min(wide.offset_hi, std::max(o_hi + 1.2 * o_room, offset + 0.5 * o_room));
  near.depth_lo = std::max(wide.depth_lo, std::min(d_lo - 1.2 * d_room, depth - 0.5 * d_room));
  near.depth_hi = std::min(wide.depth_hi, std::max(d_hi + 1.2 * d_room, depth + 0.5 * d_room));
  fill_rows(near, job, cut, face);
  return near;
}

std::string window_json(const SettingWindow& w, const DialedEdge* dialed, bool works,
                        const std::optional<Setting>& cure) {
  return json_line({{"offset", {page_mm(w.offset_lo), page_mm(w.offset_hi)}},
                    {"depth", {page_mm(w.depth_lo), page_mm(w.depth_hi)}},
                    {"rows", w.rows},
                    {"dial", dialed ? dial_answer(*dialed) : Json(nullptr)},
                    {"works", works},
                    {"cure", cure ? Json{{"depth", page_mm(cure->depth)}, {"offset", page_mm(cure->offset)}}
                                  : Json(nullptr)}});
}

std::string setting_json(const DialedEdge& dialed) { return json_line(dial_answer(dialed)); }

}  // namespace ovolo::io
