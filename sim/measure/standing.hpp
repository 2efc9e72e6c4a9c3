#pragma once
#include <cstddef>

#include "sim/measure/edge.hpp"

namespace ovolo {

/// How a section stands to the wishes: its measure that is the worst of all beside what was wished.
struct Standing {
  enum class What {
    none,
    not_cut,
    no_foot,
    lip,
    band,
    face_break,
    wall_break,
    other_lip,
    other_band,
    other_face_break,
    overcut,
    layer
  };
  double ratio = -1;  ///< measure / wish; over 1 is beyond a wish
  What what = What::none;
  double value = 0;       ///< of the measure, mm or radians
  std::size_t layer = 0;  ///< the hidden layer that shows
};

/// The form's own breaks at face and wall are allowed beside the wishes. `stock` names the layers of the
/// section's exposure.
Standing standing(const SectionMeasures& measures, const Wishes& wishes, const WantedForm& wanted,
                  const Stock& stock);

}  // namespace ovolo
