#pragma once
#include <optional>
#include <string>

#include "sim/advise/dial.hpp"
#include "sim/advise/dial_search.hpp"
#include "sim/measure/edge.hpp"

namespace ovolo {

/// What to change about an edge that is not good.
struct Cure {
  /// A depth and offset, as a scene in its units would have them written, with which the whole edge was
  /// measured again and was good. Of a program: what to aim it at, measured on a straight edge.
  std::optional<Setting> setting;
  std::string
      text;  ///< what to do, in words; empty where nothing better is known than the edge's own verdict
};

/// Looks for one setting that makes an edge of the job good: the one that `dial` found, or of an undercut bit
/// the one that form and sheet ask for. Where none does, the text says so and what else would: another bit,
/// another sheet, another wish. Nothing for a good edge. Plans the job anew for each setting it tries.
Cure find_cure(const Job& job, const EdgeMeasures& edge, const std::optional<DialedEdge>& dialed);

}  // namespace ovolo
