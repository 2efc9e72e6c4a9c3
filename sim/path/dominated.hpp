#pragma once
#include "sim/path/move.hpp"

namespace ovolo {

/// Does `inner` run along a part of the level move `outer`'s path, with the same bit in the same set-up on
/// the same sheet, and nowhere lower? Of a bit that does not narrow upwards it then leaves no mark. To 1e-9
/// mm.
bool dominated(const Move& inner, const Move& outer);

}  // namespace ovolo
