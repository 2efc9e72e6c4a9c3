#include <fmt/format.h>

#include <array>

#include "io/file.hpp"
#include "io/scene/parts.hpp"
#include "io/scene/suggest.hpp"
#include "io/scene/table.hpp"
#include "io/scene/toml.hpp"
#include "io/text.hpp"
#include "sim/error.hpp"
#include "sim/shop/cost.hpp"
#include "sim/shop/grit.hpp"

namespace ovolo::io {
namespace {

constexpr double kMost = 1e9;  // of money, seconds, energies
constexpr std::int64_t kMostParts = 1'000'000;

void set(double& value, const std::optional<double>& read) { value = read.value_or(value); }

// A number, or [low, likely, high]. A single number has no range of its own.
void read_ranged(Table& table, std::string_view key, Ranged& value) {
  const Node* node = table.any(key, "", Need::no);
  if (!node) return;
  Reading& reading = table.reading();
  const Range range = Range::not_negative(kMost);
  if (!node->is_list()) {
    if (const auto number = read_number(*node, table.called(key), range, reading))
      value = {*number, *number, *number};
    return;
  }
  std::array<double, 3> numbers{};
  const Node::List& items = node->items();
  if (items.size() != 3) {
    table.fault(key, fmt::format("{} lists {} numbers; write one number, or three: [low, likely, high]",
                                 table.called(key), items.size()));
    return;
  }
  for (std::size_t i = 0; i < 3; ++i) {
    const auto number = read_number(items[i], "a number in " + table.called(key), range, reading);
    if (!number) return;
    numbers[i] = *number;
  }
  if (numbers[0] > numbers[1] || numbers[1] > numbers[2])
    table.fault(key, fmt::format("{} does not rise; write [low, likely, high]", table.called(key)));
  value = {numbers[0], numbers[1], numbers[2]};
}

void read_rates(Table& table, SandRates& rates) {
  read_ranged(table, "handling", rates.handling);
  read_ranged(table, "per_metre", rates.per_metre);
  read_ranged(table, "per_mm3", rates.per_mm3);
  if (const auto life = table.number("per_sheet", {0, kMost, true})) rates.per_sheet = *life;
  if (const auto source = table.text("source"))
    rates.source = *source;
  else if (table.has("handling") || table.has("per_metre") || table.has("per_mm3"))
    rates.source = "the scene";
}

// Rates kept in a file of their own, as `sand calibrate` writes them.
void read_rates_file(Table& table, SandRates& rates) {
  const auto name = table.text("rates");
  if (!name) return;
  const std::filesystem::path path = table.reading().folder / *name;
  try {
    rates = read_sand_rates(path);
  } catch (const SceneError& e) {
    for (const Fault& fault : e.faults())
      table.fault("rates", fmt::format("{} cannot be used: {}", table.called("rates"), fault.str()));
  }
}

void read_grits(Table& table, SandLimits& limits) {
  const auto* list = table.list("grits", "120, 180", grits().size());
  if (!list) return;
  std::vector<int> numbers;
  for (const Node& item : *list) {
    const auto number = read_count(item, "a grit in " + table.called("grits"), 1, 10000, table.reading());
    if (!number) return;
    try {
      numbers.push_back(grit(static_cast<int>(*number)).number);
    } catch (const JobError& e) {
      table.reading().fault(item.at, e.what());
      return;
    }
    if (numbers.size() > 1 && numbers.back() <= numbers[numbers.size() - 2]) {
      table.reading().fault(item.at, fmt::format("P{} follows P{}; list the grits from coarse to fine",
                                                 numbers.back(), numbers[numbers.size() - 2]));
      return;
    }
  }
  if (numbers.empty())
    table.fault("grits", fmt::format("{} is empty; write such as [120, 180]", table.called("grits")));
  else
    limits.grits = numbers;
}

}  // namespace

Machine read_machine(const Node& node, Reading& reading) {
  Table table(node, "the machine", reading);
  Machine machine;
  set(machine.acceleration, table.length("acceleration", Range::positive()));
  set(machine.rapid, table.feed("rapid"));
  set(machine.junction, table.length("junction", Range::not_negative(10)));
  set(machine.clearance, table.length("clearance", Range::not_negative(1000)));
  set(machine.bit_change, table.number("bit_change", Range::not_negative(kMost)));
  set(machine.runout, table.length("runout", Range::not_negative(5)));
  table.finish();
  return machine;
}

Material read_material(const Node& node, Reading& reading) {
  Table table(node, "the material", reading);
  Material out;
  if (const auto name = table.text("name")) {
    out.name = *name;
    try {
      out = material(*name);
    } catch (const JobError& e) {
      if (!table.has("specific_energy")) table.fault("name", e.what());
    }
  }
  if (table.has("specific_energy")) out.energy_source = "the scene";
  read_ranged(table, "specific_energy", out.specific_energy);
  if (out.specific_energy.low <= 0)
    table.fault("specific_energy",
                fmt::format("{} must be more than 0 N/mm2; about 30 to 40 is known for particleboard",
                            table.called("specific_energy")));
  if (const Node* chips = table.any("chip_load", "", Need::no)) {
    if (const auto range = read_point(*chips, table.called("chip_load"), Range::not_negative(100), reading)) {
      out.chip_load = ChipRange{range->x, range->y};
      if (!(range->x < range->y))
        table.fault("chip_load", fmt::format("{} does not rise; write [least, most] per tooth",
                                             table.called("chip_load")));
    }
  }
  table.finish();
  return out;
}

void read_sanding(const Node& node, SandRates& rates, SandLimits& limits, Reading& reading) {
  Table table(node, "the sanding", reading);
  read_rates_file(table, rates);
  read_rates(table, rates);
  read_grits(table, limits);
  set(limits.feel, table.length("feel", Range::not_negative(10)));
  set(limits.ease, table.length("ease", Range::not_negative(10)));
  set(limits.touch_depth, table.length("touch_depth", Range::not_negative(10)));
  set(limits.one_grit_depth, table.length("one_grit_depth", Range::not_negative(10)));
  set(limits.two_grit_depth, table.length("two_grit_depth", Range::not_negative(10)));
  set(limits.gouge, table.length("gouge", Range::not_negative(10)));
  set(limits.thin, table.length("thin", Range::not_negative(10)));
  if (limits.touch_depth > limits.one_grit_depth || limits.one_grit_depth > limits.two_grit_depth)
    reading.fault(node.at,
                  "the sanding's depths do not rise; keep touch_depth <= one_grit_depth <= two_grit_depth");
  table.finish();
}

ShopRates read_shop(const Node& node, const Job& job, Reading& reading) {
  Table table(node, "the shop", reading);
  ShopRates rates;
  rates.parts_per_sheet = parts_of(job);
  const Range money = Range::not_negative(kMost);
  set(rates.machine_per_hour, table.number("machine_per_hour", money));
  set(rates.hand_per_hour, table.number("hand_per_hour", money));
  set(rates.abrasive_per_sheet, table.number("abrasive_per_sheet", money));
  set(rates.set_up_minutes, table.number("set_up_minutes", money));
  if (const auto batch = table.count("batch", 1, kMostParts)) rates.batch = static_cast<int>(*batch);
  if (const auto parts = table.count("parts_per_sheet", 1, kMostParts))
    rates.parts_per_sheet = static_cast<int>(*parts);
  if (const auto currency = table.text("currency")) rates.currency = *currency;
  table.finish();
  return rates;
}

int parts_of(const Job& job) {
  for (const Operation& op : job.operations)
    if (op.kind == OperationKind::edge && op.contour >= 0)
      return static_cast<int>(job.contours[static_cast<std::size_t>(op.contour)].at.size());
  return 1;
}

SandRates read_sand_rates(const std::filesystem::path& path) {
  return parse_sand_rates(read_file(path), path.string());
}

SandRates parse_sand_rates(std::string_view text, const std::string& name) {
  const Node root = parse_toml(text, name);
  Reading reading(name, {});
  Table file(root, "the rates file", reading);
  SandRates rates;
  if (const Node* node = file.table("rates", "a table [rates] with handling and per_mm3", Need::yes)) {
    Table table(*node, "the rates", reading);
    read_rates(table, rates);
    table.finish();
  }
  file.any("timings", "", Need::no);  // kept beside the rates for the next calibration
  file.finish();
  reading.raise();
  return rates;
}

}  // namespace ovolo::io
