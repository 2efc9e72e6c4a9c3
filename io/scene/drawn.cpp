#include "io/scene/drawn.hpp"

#include <fmt/format.h>

#include <array>

namespace ovolo::io {
namespace {

constexpr double kWidestJoin = 10;  // mm
constexpr std::array<std::string_view, 7> kDrawnUnits{"mm", "cm", "m", "in", "inch", "ft", "thou"};

}  // namespace

bool names_drawing(const Table& table) { return table.has("svg") || table.has("dxf"); }

std::optional<NamedDrawing> read_named_drawing(Table& table) {
  const bool svg = table.has("svg"), dxf = table.has("dxf");
  NamedDrawing out;
  out.key = svg ? "svg" : "dxf";
  const auto svg_name = table.text("svg"), dxf_name = table.text("dxf");
  out.choice.id = table.text("id");
  out.choice.layer = table.text("layer");
  const auto units = table.choice("units", kDrawnUnits);
  const auto join = table.length("join", Range::not_negative(kWidestJoin));
  out.choice.near = table.point("near", Range::any());
  const auto open = table.flag("open");
  if (svg && dxf) {
    table.fault("dxf", fmt::format("{} names two drawings, `svg` and `dxf`; remove one", table.name()));
    return {};
  }
  const auto refuse = [&](std::string_view key, std::string_view why) {
    if (!table.has(key)) return false;
    table.fault(key, fmt::format("{} {}", table.called(key), why));
    return true;
  };
  if (svg && refuse("units", "is for DXF alone: an SVG's units are laid down; remove it")) return {};
  if (dxf && refuse("id", "is for SVG alone: choose a DXF's pieces by `layer` or `near`")) return {};
  if (out.choice.id && refuse("layer", "stands beside `id`; remove one")) return {};
  const auto& name = svg ? svg_name : dxf_name;
  if (!name || (table.has("units") && !units) || (table.has("join") && !join) ||
      (table.has("open") && !open) || (table.has("near") && !out.choice.near) ||
      (table.has("id") && !out.choice.id) || (table.has("layer") && !out.choice.layer))
    return {};
  if (units) out.choice.units = kDrawnUnits[*units] == "inch" ? "in" : std::string(kDrawnUnits[*units]);
  if (join) out.choice.join = *join;
  out.choice.open = open.value_or(false);
  out.path = (table.reading().folder / *name).string();
  return out;
}

void drawing_fault(Table& table, const NamedDrawing& drawing, const std::string& what) {
  table.fault(drawing.key, fmt::format("{}: {}", table.called(drawing.key), what));
}

}  // namespace ovolo::io
