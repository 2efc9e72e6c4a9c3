#include "render/layer_look.hpp"

#include <algorithm>

namespace ovolo::render {

Color plot_color(const Layer& layer) { return mix(to_color(layer.color), kPaper, 0.3); }

LayerKinds layer_kinds(const Stock& stock) {
  LayerKinds out;
  for (const Layer& layer : stock.layers) {
    const auto found = std::find_if(out.kinds.begin(), out.kinds.end(), [&](const LayerKind& kind) {
      return kind.layer->name == layer.name && kind.layer->color == layer.color &&
             kind.layer->thickness == layer.thickness;
    });
    out.of.push_back(static_cast<std::size_t>(found - out.kinds.begin()));
    if (found == out.kinds.end()) {
      out.kinds.push_back({&layer, 1});
    } else {
      ++found->count;
    }
  }
  return out;
}

std::string layer_pattern(Canvas& canvas, const Layer& layer, std::size_t index) {
  const Color ground = plot_color(layer);
  const Color line = luminance(ground) > 0.25 ? mix(ground, kInk, 0.32) : mix(ground, kPaper, 0.45);
  switch (index % 4) {
    case 0:
      return canvas.hatch(line, 1, 8, Hatch::falling, ground);
    case 1:
      return canvas.dashes(line, 1, 8, 12, ground);
    case 2:
      return canvas.hatch(line, 1, 8, Hatch::rising, ground);
    default:
      return canvas.dots(line, 1.1, 9, ground);
  }
}

}  // namespace ovolo::render
