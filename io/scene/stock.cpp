#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "io/scene/parts.hpp"
#include "io/scene/table.hpp"
#include "io/text.hpp"

namespace ovolo::io {
namespace {

constexpr std::size_t kMostLayers = 64;
constexpr std::string_view kExample = "{ name = \"board\", thickness = 18 }";

// "#rrggbb"
std::optional<std::array<std::uint8_t, 3>> parse_color(std::string_view text) {
  if (text.size() != 7 || text[0] != '#') return {};
  std::uint32_t value = 0;
  const auto [end, error] = std::from_chars(text.data() + 1, text.data() + 7, value, 16);
  if (error != std::errc{} || end != text.data() + 7) return {};
  return std::array{static_cast<std::uint8_t>(value >> 16), static_cast<std::uint8_t>(value >> 8 & 0xff),
                    static_cast<std::uint8_t>(value & 0xff)};
}

Layer read_layer(const Node& node, std::size_t number, Reading& reading) {
  Table table(node, fmt::format("layer {}", number), reading);
  Layer layer;
  layer.name = table.text("name", Need::yes).value_or("");
  layer.thickness = table.length("thickness", Range::positive(), Need::yes).value_or(0);
  if (const auto color = table.text("color")) {
    if (const auto rgb = parse_color(*color))
      layer.color = *rgb;
    else
      table.fault("color", fmt::format("{} is \"{}\"; write it as \"#rrggbb\", such as \"#f2ead7\"",
                                       table.called("color"), shown(*color)));
  }
  table.finish();
  return layer;
}

}  // namespace

Stock read_stock(const Node& node, Reading& reading) {
  Table table(node, "the stock", reading);
  Stock stock;
  stock.source = reading.source(node.at);
  if (const auto size = table.point("size", Range::positive(), Need::yes)) {
    stock.width = size->x;
    stock.height = size->y;
  }
  if (const auto* layers = table.list("layers", kExample, kMostLayers, Need::yes)) {
    if (layers->empty())
      table.fault("layers", fmt::format("the stock has no layers; write layers = [{}]", kExample));
    for (const Node& item : *layers) {
      Layer layer = read_layer(item, stock.layers.size() + 1, reading);
      const auto same = [&](const Layer& other) { return other.name == layer.name; };
      if (!layer.name.empty() && std::any_of(stock.layers.begin(), stock.layers.end(), same))
        reading.fault(item.at, fmt::format("two layers are named `{}`; rename one", shown(layer.name)));
      stock.layers.push_back(std::move(layer));
    }
  }
  stock.spoilboard = table.length("spoilboard", Range::not_negative()).value_or(stock.spoilboard);
  table.finish();
  return stock;
}

}  // namespace ovolo::io
