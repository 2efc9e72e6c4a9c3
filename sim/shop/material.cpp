#include "sim/shop/material.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "sim/error.hpp"

namespace ovolo {
namespace {

constexpr double kInch = 25.4;

struct Row {
  const char* name;
  Ranged energy;  // N/mm^2
  const char* source;
  ChipRange quarter, half;  // inch per tooth, by shank; 0 when there is none
};

constexpr const char* kGuess = "a guess";
constexpr std::array<Row, 6> kTable{{
    {"particleboard", {32.0, 34.8, 37.6}, "Palubicki 2021", {0, 0}, {0, 0}},
    {"mdf", {20, 40, 80}, kGuess, {0.013, 0.016}, {0.025, 0.027}},
    {"plywood", {15, 35, 70}, kGuess, {0.011, 0.013}, {0.021, 0.023}},
    {"softwood", {10, 25, 50}, kGuess, {0.011, 0.013}, {0.021, 0.023}},
    {"hardwood", {20, 45, 90}, kGuess, {0.009, 0.011}, {0.019, 0.021}},
    {"plastic", {20, 50, 100}, kGuess, {0, 0}, {0, 0}},
}};

const Row* find(const std::string& name) {
  const auto it = std::find_if(kTable.begin(), kTable.end(), [&](const Row& r) { return name == r.name; });
  return it == kTable.end() ? nullptr : &*it;
}

}  // namespace

Material material(const std::string& name) {
  const Row* row = find(name);
  if (!row) {
    std::string known;
    for (const Row& r : kTable) known += fmt::format("{}{}", known.empty() ? "" : ", ", r.name);
    throw JobError(fmt::format(
        "material '{}' is not in the table: use one of {}, or give its specific_energy", name, known));
  }
  Material m;
  m.name = name;
  m.specific_energy = row->energy;
  m.energy_source = row->source;
  return m;
}

std::optional<ChipRange> usual_chip_load(const std::string& material, double cutting_diameter) {
  const Row* row = find(material);
  if (!row || row->quarter.high <= 0) return std::nullopt;
  const double t = std::clamp((cutting_diameter / kInch - 0.25) / 0.25, 0.0, 1.0);
  return ChipRange{kInch * (row->quarter.low + t * (row->half.low - row->quarter.low)),
                   kInch * (row->quarter.high + t * (row->half.high - row->quarter.high))};
}

double usual_top_speed(double cutting_diameter) {
  constexpr double kHair = 1e-9;  // an exact inch size belongs to the faster class
  const double inches = cutting_diameter / kInch - kHair;
  if (inches <= 1) return 24000;
  if (inches <= 2) return 18000;
  if (inches <= 2.5) return 16000;
  return 12000;
}

}  // namespace ovolo
