#pragma once
#include <string>
#include <vector>

#include "render/canvas.hpp"
#include "sim/job.hpp"

namespace ovolo::render {

/// The layer's colour, lightened so that ink stays legible on it.
Color plot_color(const Layer& layer);

/// Layers that look alike: the same name, colour and thickness.
struct LayerKind {
  const Layer* layer = nullptr;
  std::size_t count = 0;
};
struct LayerKinds {
  std::vector<LayerKind> kinds;  ///< in the order they first occur from the top face
  std::vector<std::size_t> of;   ///< kind of each layer
};
/// The references must outlive the result.
LayerKinds layer_kinds(const Stock& stock);

/// A fill for the kind of layers at `index`: its colour with a pattern that differs from its neighbours', so
/// that layers can be told apart in black and white.
std::string layer_pattern(Canvas& canvas, const Layer& layer, std::size_t index);

}  // namespace ovolo::render
