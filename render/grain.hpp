#pragma once
#include <string>

#include "render/color.hpp"
#include "render/vec3.hpp"
#include "sim/job.hpp"

namespace ovolo::render {

/// What a layer is made of, as far as its look goes.
enum class Grain : unsigned char { plastic, wood, fibre };

/// Read from the layer's name ("oak veneer" is wood, "MDF core" fibre); plastic when it says nothing.
Grain grain_of(const std::string& layer_name);

/// Reflectance in linear light, 0 to 1 each.
struct Reflectance {
  double r = 0, g = 0, b = 0;
};
Reflectance to_reflectance(Color c);

/// How much lighter or darker than its layer's colour a material is at a place (mm, on the sheet; z up): 1 on
/// average. Wood grain runs along X.
double tone_at(Grain grain, Vec3 p);

}  // namespace ovolo::render
