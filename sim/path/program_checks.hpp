#pragma once
#include <string>
#include <vector>

#include "sim/job.hpp"
#include "sim/measure/edge.hpp"
#include "sim/path/plan.hpp"

namespace ovolo {

/// What surrounds a program in its job.
struct ProgramContext {
  std::string file;    ///< of the program, for the warnings' places
  int operation = -1;  ///< index into Job::operations
  const Plan* plan =
      nullptr;  ///< its moves of earlier operations count as having removed material; may be missing
};

/// What a machine program does that a shop would not want, each kind one warning with its lines and the mend:
/// - "rapid-through-material": a rapid below the face whose bit meets material that no feed move before it
/// has taken.
/// - "slender-plunge": a feed move into such material steeper than 45 degrees, with a slender tip.
/// - "beyond-sheet": the axis outside the sheet's outline while the tip is below the face.
/// - "below-spoilboard": the tip lower than the sheet and the spoilboard allowance.
/// - "beyond-cutting-length": a bit deeper than it cuts.
/// - "misses-sheet": no feed move cuts the sheet at all.
/// Material is tested at points under the bit at most 0.5 mm apart along the path (on its axis and on three
/// rings of eight), so that a sliver between them may pass unseen; none is reported that is not there. Very
/// long programs are examined up to a limit, which "not-fully-examined" tells.
std::vector<Warning> check_program(const std::vector<ProgramMotion>& program, const Stock& stock,
                                   const std::vector<Bit>& bits, const ProgramContext& context = {});

/// Of every program operation of the job: what its reading found, then the checks above. `plan` is the job's.
std::vector<Warning> program_warnings(const Job& job, const Plan& plan);

}  // namespace ovolo
