#pragma once
#include <cstddef>
#include <optional>
#include <string>

#include "sim/job.hpp"
#include "sim/measure/edge.hpp"
#include "sim/measure/standing.hpp"

namespace ovolo::render {

/// What edges are held against. The references must outlive it.
struct Standard {
  const Wishes& wishes;
  const WantedForm& wanted;  ///< its own breaks at face and wall are allowed beside the wishes
  const Stock& stock;
  /// Largest breaks allowed, radians.
  double face_break() const;
  double wall_break() const;
};

Standing standing(const SectionMeasures& measures, const Standard& standard);
/// The measure that stands worst: "lip 1.380 mm (0.0543 in)".
std::string standing_text(const Standing& standing, const Stock& stock);

/// Which station to show, nothing when no station counts: the worst, the one of median standing. Of those
/// that stand equally, or within 2 %, one whose section is whole, in the middle of the longest stretch of its
/// like.
std::optional<std::size_t> worst_station(const EdgeMeasures& edge, const Standard& standard);
std::optional<std::size_t> typical_station(const EdgeMeasures& edge, const Standard& standard);

}  // namespace ovolo::render
