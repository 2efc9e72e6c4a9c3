#pragma once
#include <string>

#include "io/cli/run.hpp"
#include "render/close_up.hpp"
#include "sim/measure/edge.hpp"

namespace ovolo::cli {

struct CloseUpLook {
  int width = 1600, height = 1000;  ///< pixels
  std::string title;                ///< empty for none
  bool labels = true;
  StopCheck stop = {};
  render::CloseUpLetters letters = {};
};

/// An edge's finished surface at a station, of any job.
render::Image edge_close_up(const Job& job, const Plan& plan, const MoveIndex& index,
                            const EdgeMeasures& edge, const Station& station, const CloseUpLook& look);

}  // namespace ovolo::cli
