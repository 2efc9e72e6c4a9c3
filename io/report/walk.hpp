#pragma once
#include <optional>
#include <string>
#include <vector>

#include "sim/measure/edge.hpp"
#include "sim/path/move_index.hpp"
#include "sim/path/plan.hpp"

namespace ovolo::io {

/// What the pages draw sections, plans and solids from, as JSON: everything the scene says (`settings`), and
/// for each edge its contour, its stations with their measures, and the exact pieces of the sections there
/// (`walk`). Lengths mm, angles degrees. Equal sections are kept once. Stations beyond `most` are thinned
/// evenly; `shown` holds for each edge the index of a station that stays, or nothing.
std::string walk_json(const Job& job, const Plan& plan, const MoveIndex& index, const Measures& measures,
                      const std::vector<std::optional<std::size_t>>& shown, std::size_t most = 3000);

/// The scene's numbers alone: stock, bits, contours, operations, wishes.
std::string settings_json(const Job& job);

/// A wanted form: its size, its own breaks in degrees, its curve as pieces.
std::string wanted_json(const WantedForm& wanted);

/// One section's pieces: [0, ax, ay, bx, by] a line, [1, ax, ay, bx, by, cx, cy, radius, angle, sweep] an
/// arc, [2, x, y, x, y, ...] a curve; in (u, z).
std::string section_json(const Section& section);

}  // namespace ovolo::io
