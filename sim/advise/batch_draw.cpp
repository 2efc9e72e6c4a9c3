#include "sim/advise/batch_draw.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/advise/bit_belief.hpp"
#include "sim/bit/forms.hpp"
#include "sim/bit/worn.hpp"
#include "sim/error.hpp"

namespace ovolo {
namespace {

// What is left of a deviation when a part of it is drawn elsewhere.
double rest(double whole, double part) { return std::sqrt(std::max(0.0, whole * whole - part * part)); }

enum Stream : std::uint64_t { kBits = 1, kSetUps = 2, kParts = 3 };

CurveMarks marks_of(const Job& job, const Operation& op, const Bit& bit) {
  if (!(op.feed > 0 && op.spindle > 0 && op.offset >= 0)) return {};
  MarkSettings settings;
  settings.feed = op.feed;
  settings.spindle = op.spindle;
  settings.flutes = bit.flutes;
  settings.runout = job.shop.machine.runout;
  settings.direction = op.direction;
  try {
    return curve_marks(places_of_pass(bit.profile, op.offset, op.depth), {settings});
  } catch (const JobError&) {
    return {};  // it cuts nothing there: the sections tell
  }
}

}  // namespace

std::vector<BatchOperation> batch_operations(const Job& job, std::vector<std::string>& left_out) {
  std::vector<BatchOperation> out;
  for (std::uint32_t i = 0; i < job.operations.size(); ++i) {
    const Operation& op = job.operations[i];
    if (op.kind != OperationKind::edge) continue;
    BatchOperation b;
    b.operation = i;
    try {
      b.edge = EdgeCase::of(job, i);
    } catch (const JobError&) {
      left_out.push_back(op.name);
      continue;
    }
    if (op.contour >= 0) {
      const NamedContour& contour = job.contours[static_cast<std::size_t>(op.contour)];
      const double parts = std::max(1, job.shop.rates.parts_per_sheet);
      b.length = contour.contour.length() * static_cast<double>(contour.at.size()) / parts;
    }
    b.marks = marks_of(job, op, b.edge.bit);
    out.push_back(std::move(b));
  }
  return out;
}

std::vector<double> edge_by_bit(const Job& job, const std::vector<BatchOperation>& operations) {
  std::vector<double> out(job.bits.size(), 0);
  for (const BatchOperation& op : operations) out[job.operations[op.operation].bit] += op.length;
  return out;
}

BatchDraw::BatchDraw(const Job& job, const std::vector<BatchOperation>& operations, std::uint64_t seed,
                     std::uint64_t batch)
    : job_(&job),
      operations_(&operations),
      seed_(seed),
      batch_(batch),
      length_by_bit_(edge_by_bit(job, operations)) {
  for (std::uint32_t i = 0; i < job.bits.size(); ++i) bits_.push_back(draw_bit(i));
}

DrawnBit BatchDraw::draw_bit(std::uint32_t index) const {
  const Bit& bit = job_->bits[index];
  Draws draw(seed_, batch_, kBits, index);
  DrawnBit out;
  const SettingErrors& e = job_->errors;
  // One flute of two stands out by half the indicator reading times |cos|, however the bit sits.
  const double grown = e.runout / 2 * std::abs(std::cos(2 * std::numbers::pi * draw.uniform()));
  out.wear = job_->variation.wear * std::max(0.0, 1 + job_->variation.wear_spread * draw.normal()) / 1e5;
  if (bit.roundover) {
    const BitBelief belief(bit.roundover->readings, e.readings);
    const BitBelief::Bit b = belief.at(belief.mean() + belief.sigma() * draw.normal());
    out.working_depth = b.working_depth;
    out.tip_radius = std::max(0.0, b.tip_radius + belief.tip_sigma() * draw.normal()) + grown;
    out.cutting_radius = out.tip_radius + b.run;
  } else {
    const double readings = e.readings.value_or(kReadingError);
    out.height = readings * draw.normal();
    out.width = readings / 2 * draw.normal() + grown;
  }
  return out;
}

std::vector<SectionMeasures> BatchDraw::part(std::uint64_t number) const {
  const SettingErrors& e = job_->errors;
  const Variation& v = job_->variation;
  const auto per_set_up =
      static_cast<std::uint64_t>(std::max(1, v.parts_per_set_up.value_or(job_->shop.rates.parts_per_sheet)));
  Draws set_up(seed_, batch_, kSetUps, number / per_set_up), own(seed_, batch_, kParts, number);
  const double z_repeat = std::min(v.z_repeat, e.z), xy_repeat = std::min(v.xy_repeat, e.xy);
  double deeper = rest(e.z, z_repeat) * set_up.normal() + z_repeat * own.normal();
  const double outward = rest(e.xy, xy_repeat) * set_up.normal() + xy_repeat * own.normal();
  const double thicker = e.thickness * set_up.normal();
  if (e.zero_on == ZeroOn::spoilboard) deeper += thicker;
  std::vector<double> layers;
  for (std::size_t i = 0; v.layers > 0 && i < job_->stock.layers.size(); ++i)
    layers.push_back(v.layers * set_up.normal());

  std::vector<SectionMeasures> out;
  for (const BatchOperation& op : *operations_) {
    const Operation& settings = job_->operations[op.operation];
    const DrawnBit& bit = bits_[settings.bit];
    EdgeCase edge = op.edge;
    for (std::size_t i = 0; i < layers.size(); ++i)
      edge.stock.layers[i].thickness = std::max(1e-3, edge.stock.layers[i].thickness + layers[i]);
    const double run = length_by_bit_[settings.bit] * static_cast<double>(number) + v.run_before * 1000;
    double depth = settings.depth + deeper, offset = settings.offset + outward;
    if (edge.bit.roundover) {
      Roundover r = *edge.bit.roundover;
      r.working_depth = bit.working_depth;
      r.tip_radius = bit.tip_radius;
      r.cutting_radius = bit.cutting_radius;
      edge.bit.profile = point_roundover(worn(r, bit.wear * run), edge.deepest() + 1);
    } else {
      depth -= bit.height - bit.wear * run;
      offset -= bit.width;
    }
    out.push_back(edge.measure(std::max(1e-3, depth), offset));
  }
  return out;
}

}  // namespace ovolo
