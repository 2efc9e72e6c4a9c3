#pragma once
#include <string>

#include "render/canvas.hpp"
#include "sim/job.hpp"

namespace ovolo::render {

/// The layer's colour, lightened so that ink stays legible on it.
Color plot_color(const Layer& layer);

/// A fill for the layer at `index` from the top face: its colour with a pattern that differs from its
/// neighbours', so that layers can be told apart in black and white.
std::string layer_pattern(Canvas& canvas, const Layer& layer, std::size_t index);

}  // namespace ovolo::render
