#pragma once
#include "sim/advise/wish.hpp"
#include "sim/job.hpp"
#include "sim/measure/edge.hpp"

namespace ovolo {

/// The wishes that a section breaks, as a verdict would count them; no others beside `cut` where nothing is
/// cut.
WishSet broken_wishes(const SectionMeasures& measures, const Wishes& wishes, const WantedForm& wanted,
                      const Stock& stock);

}  // namespace ovolo
