#pragma once
#include <cstddef>
#include <optional>
#include <string>

#include "sim/job.hpp"
#include "sim/measure/edge.hpp"

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

/// How a section stands to the wishes.
struct Standing {
  double ratio = 0;  ///< the largest of measure / wish; over 1 is beyond a wish
  std::string text;  ///< that measure: "lip 1.380 mm"
};
Standing standing(const SectionMeasures& measures, const Standard& standard);

/// Which station to show, nothing when no station counts: the worst, the one of median standing. Of those
/// that stand equally, or within 2 %, one whose section is whole, in the middle of the longest stretch of its
/// like.
std::optional<std::size_t> worst_station(const EdgeMeasures& edge, const Standard& standard);
std::optional<std::size_t> typical_station(const EdgeMeasures& edge, const Standard& standard);

}  // namespace ovolo::render
