#include <algorithm>
#include <numbers>

#include "io/scene/parts.hpp"
#include "io/scene/suggest.hpp"
#include "io/scene/table.hpp"

namespace ovolo::io {

Wishes read_wishes(const Node& node, const Stock& stock, Reading& reading) {
  constexpr double kRight = std::numbers::pi / 2;
  Table table(node, "the wishes", reading);
  Wishes wishes;
  wishes.lip = table.length("lip", Range::not_negative()).value_or(wishes.lip);
  wishes.band = table.length("band", Range::not_negative()).value_or(wishes.band);
  wishes.face_break = table.angle("face_break", Range::between(0, kRight)).value_or(wishes.face_break);
  wishes.wall_break = table.angle("wall_break", Range::between(0, kRight)).value_or(wishes.wall_break);
  if (const auto* hidden = table.list("hidden", "\"core\"", stock.layers.size())) {
    std::vector<std::string> known;
    for (const Layer& layer : stock.layers) known.push_back(layer.name);
    for (const Node& item : *hidden) {
      const auto name = read_text(item, "a name in `hidden` of the wishes", reading);
      if (!name) continue;
      if (std::find(known.begin(), known.end(), *name) == known.end())
        reading.fault(item.at, unknown("layer", *name, known));
      wishes.hidden.push_back(*name);
    }
  }
  table.finish();
  return wishes;
}

}  // namespace ovolo::io
