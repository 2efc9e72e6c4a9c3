#pragma once
#include <optional>
#include <random>

#include "sim/geometry/contour.hpp"

namespace ovolo::test {

/// A simple closed contour of lines and arcs within about 25 mm of the origin: random points put in order by
/// undoing crossings, half of the sides bulged. Nothing when it crosses itself after all.
std::optional<Contour> random_contour(std::mt19937_64& random, int corners);

}  // namespace ovolo::test
