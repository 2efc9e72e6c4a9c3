#pragma once
#include <cstddef>
#include <optional>
#include <string>

#include "sim/job.hpp"
#include "sim/measure/edge.hpp"

namespace ovolo::render {

/// How a section stands to the wishes.
struct Standing {
  double ratio = 0;  ///< the largest of measure / wish; over 1 is beyond a wish
  std::string text;  ///< that measure: "lip 1.380 mm"
};
Standing standing(const SectionMeasures& measures, const Wishes& wishes);

/// The station that stands worst (the first of equals), and the one of median standing; nothing when no
/// station counts.
std::optional<std::size_t> worst_station(const EdgeMeasures& edge, const Wishes& wishes);
std::optional<std::size_t> typical_station(const EdgeMeasures& edge, const Wishes& wishes);

}  // namespace ovolo::render
