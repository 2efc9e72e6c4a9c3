#pragma once
#include <vector>

#include "sim/path/move.hpp"

namespace ovolo {

/// Joins moves that follow one another on one straight line or one circle, level or climbing evenly, with the
/// same bit: a program's many short pieces become few. No place of the path moves by more than 0.1 um. The
/// order stays.
std::vector<Move> merge_moves(const std::vector<Move>& moves);

}  // namespace ovolo
