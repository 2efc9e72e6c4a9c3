#pragma once
#include <cstdint>
#include <functional>
#include <vector>

#include "sim/geometry/contour.hpp"

namespace ovolo {

struct ChainPiece {
  Segment segment;
  bool wanted = true;  ///< false: it helps to close a loop but is left out of the result
};

/// Cuts the pieces wherever they meet one another, keeps the parts whose middle `keeps` accepts, and joins
/// these end to end, in their direction, to loops. Parts that lead nowhere are dropped. A loop all of whose
/// pieces are wanted is a closed contour; of others each run of wanted pieces is an open one. In order of
/// their first piece.
std::vector<Contour> chain_pieces(const std::vector<ChainPiece>& pieces,
                                  const std::function<bool(Vec2)>& keeps);

}  // namespace ovolo
