#pragma once
#include "io/try/answer.hpp"
#include "sim/measure/edge.hpp"

namespace ovolo::cli {

/// The close-up of an edge's worst place for the live page: smaller than a report's, for it must be there
/// within a second or so. Carves what the picture shows. Empty where no station counts; `stop` may end it.
io::EdgeView quick_close_up(const Job& job, const Plan& plan, const MoveIndex& index,
                            const EdgeMeasures& edge, const io::PictureRoom& room,
                            const StopCheck& stop = {});

}  // namespace ovolo::cli
