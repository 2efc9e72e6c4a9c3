#include "io/scene/bit_readings.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace ovolo::io {
namespace {

constexpr std::size_t kMostReadings = 10'000;
constexpr std::array<std::string_view, 3> kWhat{"working_depth", "tip_flat", "cutting_diameter"};

std::optional<BitReading> read_one(const Node& item, const Table& bit_table, const Bit& bit, double error,
                                   Reading& reading) {
  Table table(item, "a reading of " + bit_table.name(), reading);
  const auto what = table.choice("what", kWhat, Need::yes);
  const auto value = table.length("value", Range::not_negative(), Need::yes);
  const auto own_error = table.length("error", Range::positive());
  const auto date = table.date("date");
  const auto run = table.number("run", Range::not_negative(1e9));
  table.finish();
  if (!what || !value || (table.has("error") && !own_error)) return {};
  return BitReading{std::string(kWhat[*what]), *value, own_error.value_or(error), date.value_or(bit.date), run};
}

/// The readings of one kind that count, as one.
void combine(const std::vector<BitReading>& all, std::string_view what, std::optional<double>& value,
             std::optional<double>& error) {
  std::string latest;
  for (const BitReading& r : all)
    if (r.what == what) latest = std::max(latest, r.date);
  double weights = 0, sum = 0;
  for (const BitReading& r : all) {
    if (r.what != what || r.date != latest) continue;
    const double weight = 1 / (r.error * r.error);
    weights += weight;
    sum += weight * r.value;
  }
  if (weights == 0) return;
  value = sum / weights;
  error = 1 / std::sqrt(weights);
}

}  // namespace

void read_bit_readings(Table& table, Bit& bit, RoundoverReadings& out) {
  const auto* list = table.list("readings", "tables { what = \"working_depth\", value = 3.62, error = 0.03 }",
                                kMostReadings);
  if (!list) return;
  for (const Node& item : *list) {
    auto one = read_one(item, table, bit, out.error, table.reading());
    if (one) bit.readings.push_back(std::move(*one));
  }
  const std::array<std::optional<double>*, 3> values{&out.working_depth, &out.tip_flat,
                                                     &out.cutting_diameter};
  const std::array<std::optional<double>*, 3> errors{&out.working_depth_error, &out.tip_flat_error,
                                                     &out.cutting_diameter_error};
  for (std::size_t i = 0; i < kWhat.size(); ++i) {
    const bool read = std::any_of(bit.readings.begin(), bit.readings.end(),
                                  [&](const BitReading& r) { return r.what == kWhat[i]; });
    if (!read) continue;
    if (table.has(kWhat[i])) {
      table.fault(kWhat[i], fmt::format("{} stands among its `readings` too; remove one of them",
                                        table.called(kWhat[i])));
      continue;
    }
    combine(bit.readings, kWhat[i], *values[i], *errors[i]);
  }
}

}  // namespace ovolo::io
