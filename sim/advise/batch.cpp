#include "sim/advise/batch.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/advise/batch_draw.hpp"
#include "sim/advise/odds.hpp"
#include "sim/bit/worn.hpp"
#include "sim/error.hpp"
#include "sim/parallel.hpp"
#include "sim/shop/sanding.hpp"

namespace ovolo {
namespace {

constexpr int kMostParts = 100'000;
constexpr int kAimedAt = 40'000;  // parts drawn in all, unless a single batch is larger
constexpr int kFewestBatches = 10, kMostBatches = 1000;
constexpr double kBad = 0.1;        // of a batch's parts outside the wishes make it a bad one
constexpr double kAccepted = 0.05;  // chance of a bad batch that is put up with
constexpr double kWorn = 0.05;      // rise of the chance of a bad edge that asks for another reading
constexpr int kBins = 40;
constexpr float kNone = std::numeric_limits<float>::quiet_NaN();

// The measures kept of every edge drawn, as columns; the layers' exposure follows.
enum Column { kLip, kBand, kFoot, kFace, kWall, kFirstLayer };

Spread spread_of(std::vector<float> values) {
  Spread s;
  const std::size_t all = values.size();
  std::erase_if(values, [](float v) { return std::isnan(v); });
  s.without = all > 0 ? 1 - static_cast<double>(values.size()) / static_cast<double>(all) : 0;
  if (values.empty()) return s;
  std::sort(values.begin(), values.end());
  const auto at = [&](double share) {
    return static_cast<double>(
        values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1) + 0.5)]);
  };
  s.least = static_cast<double>(values.front());
  s.low = at(0.05);
  s.middle = at(0.5);
  s.high = at(0.95);
  s.most = static_cast<double>(values.back());
  double sum = 0;
  for (const float v : values) sum += static_cast<double>(v);
  s.mean = sum / static_cast<double>(values.size());
  // Bins over all but the last in a thousand on either side, so that one stray value does not flatten the
  // rest.
  s.from = at(0.001);
  s.to = std::max(at(0.999), s.from + 1e-6);
  s.bins.assign(kBins, 0);
  for (const float v : values) {
    const double t = (static_cast<double>(v) - s.from) / (s.to - s.from) * kBins;
    s.bins[static_cast<std::size_t>(std::clamp(t, 0.0, kBins - 1.0))] += 1;
  }
  for (double& b : s.bins) b /= static_cast<double>(values.size());
  return s;
}

struct Drawn {
  std::vector<std::vector<std::vector<float>>> columns;  // by operation, column, part
  std::vector<std::vector<std::uint8_t>> broken;         // by operation, part: a bit for each wish
  std::vector<double> low, likely, high;                 // seconds of sanding, by part
};

std::uint8_t bits_of(WishSet broken) {
  std::uint8_t bits = 0;
  for (int i = 0; i < kWishes; ++i)
    if (broken.has(static_cast<Wish>(i))) bits = static_cast<std::uint8_t>(bits | 1u << i);
  return bits;
}

void note(const Job& job, const std::vector<BatchOperation>& operations,
          const std::vector<SectionMeasures>& sections, std::size_t part, Drawn& drawn) {
  std::vector<EdgeSanding> sanding;
  for (std::size_t k = 0; k < operations.size(); ++k) {
    const SectionMeasures& m = sections[k];
    const auto put = [&](std::size_t column, const std::optional<double>& v) {
      drawn.columns[k][column][part] = v ? static_cast<float>(*v) : kNone;
    };
    put(kLip, m.lip);
    put(kBand, m.band);
    put(kFoot, m.foot_depth);
    put(kFace, m.face_break);
    put(kWall, m.wall_break);
    for (std::size_t i = 0; i < m.exposure.size(); ++i) put(kFirstLayer + i, m.exposure[i]);
    drawn.broken[k][part] = bits_of(operations[k].edge.broken(m));
    EdgeMeasures edge;
    edge.operation = operations[k].operation;
    edge.copies = {Vec2{}};
    Station station;
    station.weight = operations[k].length;
    station.measures = m;
    edge.stations.push_back(std::move(station));
    sanding.push_back(sand_edge(edge, {operations[k].marks}, job, job.shop.sand_limits));
  }
  const SandTime time = sand_time(sanding, 1, job.shop.sand_rates);
  drawn.low[part] = time.seconds.low;
  drawn.likely[part] = time.seconds.value;
  drawn.high[part] = time.seconds.high;
}

double quantile(std::vector<double> v, double share) {
  std::sort(v.begin(), v.end());
  return v[static_cast<std::size_t>(share * static_cast<double>(v.size() - 1) + 0.5)];
}

// How many first parts tell a good batch from a bad one; see BatchResult.
void look_at_first(const std::vector<std::vector<bool>>& good, BatchResult& out) {
  const auto bad_rest = [&](const std::vector<bool>& batch, std::size_t from) {
    std::size_t n = 0, bad = 0;
    for (std::size_t i = from; i < batch.size(); ++i, ++n) bad += batch[i] ? 0 : 1;
    return n > 0 && static_cast<double>(bad) >= kBad * static_cast<double>(n);
  };
  for (int k = 0; k <= BatchResult::most_looked && k < out.parts; ++k) {
    double passed = 0, bad = 0;
    for (const auto& batch : good) {
      if (!std::all_of(batch.begin(), batch.begin() + k, [](bool g) { return g; })) continue;
      ++passed;
      bad += bad_rest(batch, static_cast<std::size_t>(k)) ? 1 : 0;
    }
    const double share = passed > 0 ? bad / passed : 0;
    if (k == 0) out.bad_batches = share;
    out.bad_after_look = share;
    out.passed_look = static_cast<int>(passed);
    if (passed > 0 && share <= kAccepted) {
      out.first_parts = k;
      return;
    }
  }
}

// The chance of a bad edge after so many metres, the readings being as they would be taken of the worn bit.
double failure_after(const Job& job, const BatchOperation& op, double metres) {
  const Operation& settings = job.operations[op.operation];
  Bit bit = op.edge.bit;
  RoundoverReadings& r = bit.roundover->readings;
  const Roundover less = worn(*bit.roundover, job.variation.wear * (metres + job.variation.run_before) / 100);
  if (r.tip_flat && !r.working_depth && !r.cutting_diameter) {
    r.cutting_diameter = 2 * bit.roundover->cutting_radius;
    r.cutting_diameter_error = 0;
  }
  if (r.working_depth) r.working_depth = less.working_depth;
  if (r.tip_flat) r.tip_flat = 2 * less.tip_radius;
  return EdgeOdds(bit, op.edge.wanted, op.edge.stock, op.edge.wishes, job.errors)
      .failure(settings.depth, settings.offset);
}

void reading_due(const Job& job, const std::vector<BatchOperation>& operations, BatchResult& out) {
  if (job.variation.wear <= 0) return;
  const std::vector<double> lengths = edge_by_bit(job, operations);
  for (const BatchOperation& op : operations) {
    if (!op.edge.bit.roundover) continue;
    const double allowed = failure_after(job, op, 0) + kWorn;
    const double per_part = lengths[job.operations[op.operation].bit] / 1000, whole = per_part * out.parts;
    if (per_part <= 0 || failure_after(job, op, whole) < allowed) continue;
    double lo = 0, hi = whole;
    for (int i = 0; i < 30; ++i) {
      const double m = (lo + hi) / 2;
      (failure_after(job, op, m) < allowed ? lo : hi) = m;
    }
    if (out.metres_to_reading && *out.metres_to_reading <= hi) continue;
    out.metres_to_reading = hi;
    out.parts_to_reading = static_cast<int>(hi / per_part);
    out.reading_operation = static_cast<int>(op.operation);
  }
}

BatchEdge edge_of(const BatchOperation& op, std::vector<std::vector<float>> columns,
                  const std::vector<std::uint8_t>& broken) {
  BatchEdge edge;
  edge.operation = op.operation;
  const double all = static_cast<double>(broken.size());
  for (const std::uint8_t bits : broken) {
    edge.within += bits == 0 ? 1 / all : 0;
    for (std::size_t w = 0; w < edge.broken.size(); ++w)
      edge.broken[w] += (bits >> w & 1u) != 0 ? 1 / all : 0;
  }
  edge.lip = spread_of(std::move(columns[kLip]));
  edge.band = spread_of(std::move(columns[kBand]));
  edge.foot_depth = spread_of(std::move(columns[kFoot]));
  edge.face_break = spread_of(std::move(columns[kFace]));
  edge.wall_break = spread_of(std::move(columns[kWall]));
  for (std::size_t i = kFirstLayer; i < columns.size(); ++i)
    edge.exposure.push_back(spread_of(std::move(columns[i])));
  return edge;
}

// Shares within, by batch and by place in it, and the hours of sanding.
void sum_up(const std::vector<std::vector<bool>>& good, const Drawn& drawn, BatchResult& out) {
  const std::size_t batches = good.size(), parts = good.front().size();
  std::vector<double> shares, hours, places(std::min<std::size_t>(10, parts), 0);
  out.within_by_place.assign(places.size(), 0);
  double low = 0, likely = 0, high = 0;
  for (std::size_t b = 0; b < batches; ++b) {
    double within = 0, seconds = 0;
    for (std::size_t i = 0; i < parts; ++i) {
      const std::size_t place = i * places.size() / parts;
      places[place] += 1;
      out.within_by_place[place] += good[b][i] ? 1 : 0;
      within += good[b][i] ? 1 : 0;
      low += drawn.low[b * parts + i];
      seconds += drawn.likely[b * parts + i];
      high += drawn.high[b * parts + i];
    }
    likely += seconds;
    shares.push_back(within / static_cast<double>(parts));
    hours.push_back(seconds / 3600);
    out.within += shares.back() / static_cast<double>(batches);
  }
  // By batches, for their parts are not independent.
  double squares = 0;
  for (const double s : shares) squares += (s - out.within) * (s - out.within);
  const double drawn_batches = static_cast<double>(batches);
  out.within_error = std::sqrt(squares / (drawn_batches - 1) / drawn_batches);
  for (std::size_t p = 0; p < places.size(); ++p) out.within_by_place[p] /= places[p];
  const double per_batch = 3600 * static_cast<double>(batches);
  out.sanding_hours = {low / per_batch, likely / per_batch, high / per_batch};
  out.within_low = quantile(shares, 0.05);
  out.within_high = quantile(shares, 0.95);
  out.sanding_low = quantile(hours, 0.05);
  out.sanding_high = quantile(hours, 0.95);
}

}  // namespace

BatchResult draw_batches(const Job& job, const BatchOptions& options) {
  if (options.parts < 1 || options.parts > kMostParts) throw JobError("a batch has from 1 to 100,000 parts");
  BatchResult out;
  out.parts = options.parts;
  out.seed = options.seed;
  const std::vector<BatchOperation> operations = batch_operations(job, out.left_out);
  if (operations.empty())
    throw JobError("the scene has no edge operation with a moulding bit: there is nothing to draw");
  out.batches = std::clamp(kAimedAt / out.parts, kFewestBatches, kMostBatches);
  out.marks_known = std::all_of(operations.begin(), operations.end(),
                                [](const BatchOperation& op) { return !op.marks.points.empty(); });
  const auto parts = static_cast<std::size_t>(out.parts), batches = static_cast<std::size_t>(out.batches);
  const std::size_t all = parts * batches, columns = kFirstLayer + job.stock.layers.size();

  Drawn drawn;
  drawn.columns.assign(operations.size(), std::vector<std::vector<float>>(columns, std::vector<float>(all)));
  drawn.broken.assign(operations.size(), std::vector<std::uint8_t>(all));
  for (auto* seconds : {&drawn.low, &drawn.likely, &drawn.high}) seconds->resize(all);
  std::vector<BatchDraw> draws;
  for (std::size_t b = 0; b < batches; ++b) draws.emplace_back(job, operations, options.seed, b);
  constexpr std::size_t kChunk = 64, kSlice = 64;
  const std::size_t chunks = (all + kChunk - 1) / kChunk;
  for (std::size_t begin = 0; begin < chunks; begin += kSlice) {
    if (options.progress)
      options.progress->report("drawing parts", static_cast<double>(begin) / static_cast<double>(chunks));
    parallel_for(std::min(kSlice, chunks - begin), [&](std::size_t c) {
      const std::size_t from = (begin + c) * kChunk, to = std::min(from + kChunk, all);
      for (std::size_t i = from; i < to; ++i)
        note(job, operations, draws[i / parts].part(i % parts), i, drawn);
    });
  }

  std::vector<std::vector<bool>> good(batches, std::vector<bool>(parts, true));
  for (const auto& broken : drawn.broken)
    for (std::size_t i = 0; i < all; ++i)
      if (broken[i] != 0) good[i / parts][i % parts] = false;
  sum_up(good, drawn, out);
  for (std::size_t k = 0; k < operations.size(); ++k)
    out.edges.push_back(edge_of(operations[k], std::move(drawn.columns[k]), drawn.broken[k]));
  look_at_first(good, out);
  reading_due(job, operations, out);
  if (options.progress) options.progress->report("drawing parts", 1);
  return out;
}

}  // namespace ovolo
