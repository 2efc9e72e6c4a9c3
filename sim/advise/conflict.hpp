#pragma once
#include <string>
#include <vector>

#include "sim/advise/edge_case.hpp"

namespace ovolo {

/// Wishes that no setting meets together (fewest that already cannot), and what would have to change, a
/// sentence each: a looser wish, another bit, a thicker layer. Each change alone would do for this conflict.
struct Conflict {
  std::vector<Wish> wishes;
  std::vector<std::string> cures;
};

/// Empty when some setting meets every wish.
std::vector<Conflict> find_conflicts(const EdgeCase& edge);

}  // namespace ovolo
