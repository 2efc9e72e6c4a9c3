#include <fmt/format.h>

#include <array>
#include <numbers>

#include "io/scene/parts.hpp"
#include "io/scene/suggest.hpp"
#include "io/scene/table.hpp"
#include "sim/error.hpp"
#include "sim/stock/surface.hpp"

namespace ovolo::io {
namespace {

constexpr std::size_t kMostReadings = 400;
constexpr std::size_t kMostLifts = 100;
constexpr double kMostRise = 100;  // mm

// [[x, y, reading], ...]
std::vector<SheetShape::Reading> read_readings(Table& table, std::string_view key, Range range) {
  std::vector<SheetShape::Reading> out;
  const auto* list = table.list(key, "readings [x, y, value]", kMostReadings);
  if (!list) return out;
  const std::string what = "a reading in " + table.called(key);
  for (const Node& item : *list) {
    if (!item.is_list() || item.items().size() != 3) {
      table.reading().fault(item.at, fmt::format("{} must be a list of three lengths: [x, y, value]", what));
      continue;
    }
    const auto x = read_length(item.items()[0], what, Range::any(), table.reading());
    const auto y = read_length(item.items()[1], what, Range::any(), table.reading());
    const auto v = read_length(item.items()[2], what, range, table.reading());
    if (x && y && v) out.push_back({{*x, *y}, *v});
  }
  return out;
}

SheetShape::Lift read_lift(const Node& node, const Job& job, Reading& reading) {
  Table table(node, "a lift of the surface", reading);
  SheetShape::Lift lift;
  lift.at = table.point("at", Range::any(), Need::yes).value_or(Vec2{});
  lift.height = table.length("height", Range::between(-kMostRise, kMostRise), Need::yes).value_or(0);
  lift.radius = table.length("radius", Range::positive(), Need::yes).value_or(1);
  if (const auto name = table.text("operation")) {
    std::vector<std::string> known;
    for (const Operation& op : job.operations) known.push_back(op.name);
    for (std::size_t i = 0; i < known.size() && lift.operation < 0; ++i)
      if (known[i] == *name) lift.operation = static_cast<std::int32_t>(i);
    if (lift.operation < 0) table.fault("operation", unknown("operation", *name, known));
  }
  if (const auto pass = table.count("pass", 1, 10'000)) {
    lift.pass = static_cast<std::uint32_t>(*pass - 1);
    if (!table.has("operation"))
      table.fault("pass", "a lift from some pass on must name its operation; add operation = \"...\"");
  }
  table.finish();
  return lift;
}

}  // namespace

SheetShape read_surface(const Node& node, const Job& job, Reading& reading) {
  Table table(node, "the surface", reading);
  SheetShape shape;
  const Range rise = Range::between(-kMostRise, kMostRise);
  shape.thickness = read_readings(table, "thickness", Range::positive());
  shape.height = read_readings(table, "height", rise);
  shape.spoilboard = read_readings(table, "spoilboard", rise);
  if (!shape.thickness.empty() && !shape.height.empty())
    table.fault("height",
                "the surface has readings of the thickness and of the face's height, which tell the same "
                "thing twice; keep one of them");
  shape.tilt = table.point("tilt", rise).value_or(shape.tilt);
  if (const Node* bow = table.table("bow", "{ height = 0.5, along = 0 }")) {
    Table inner(*bow, "the bow of the surface", reading);
    shape.bow = inner.length("height", rise, Need::yes).value_or(0);
    shape.bow_direction =
        inner.angle("along", Range::between(-2 * std::numbers::pi, 2 * std::numbers::pi)).value_or(0);
    inner.finish();
  }
  if (const auto* lifts = table.list("lifts", "lifts { at, height, radius }", kMostLifts))
    for (const Node& item : *lifts) shape.lifts.push_back(read_lift(item, job, reading));
  shape.zero = table.point("zero", Range::any()).value_or(shape.zero);
  table.finish();
  if (reading.faulty()) return shape;
  try {
    check(shape);
  } catch (const JobError& error) {
    reading.fault(node.at, fmt::format("the surface: {}", error.what()));
  }
  return shape;
}

}  // namespace ovolo::io
