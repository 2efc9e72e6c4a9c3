#pragma once
#include "sim/measure/edge.hpp"
#include "sim/path/move_index.hpp"

namespace ovolo {

/// What the parts of bits that do not cut run into. For every edge operation whose bit has a neck or a shank,
/// its sections at the measured stations (64 at most along one edge) are held against what its own cutting
/// edges and all earlier operations leave of the sheet: where the neck or shank would still meet material, a
/// warning "neck" or "shank" tells the worst place, how far into the material, how high, and what to change.
std::vector<Warning> idle_contacts(const Job& job, const Plan& plan, const MoveIndex& index,
                                   const std::vector<EdgeMeasures>& edges);

}  // namespace ovolo
