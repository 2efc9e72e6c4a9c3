#include "sim/path/sheet_states.hpp"

#include <algorithm>

namespace ovolo {

void lay_on_sheet(const Job& job, Plan& plan) {
  if (job.shape.flat()) return;
  const auto& lifts = job.shape.lifts;
  std::vector<bool> lifting(lifts.size(), false);
  std::uint32_t now = 0;
  bool known = false;
  for (Move& move : plan.moves) {
    for (std::size_t i = 0; i < lifts.size(); ++i) {
      if (lifting[i]) continue;
      const auto from = lifts[i].operation;
      const bool later = static_cast<std::int64_t>(move.operation) > from;
      const bool here = static_cast<std::int64_t>(move.operation) == from && move.pass >= lifts[i].pass;
      if (!later && !here) continue;
      lifting[i] = true;
      known = false;
    }
    if (!known) {
      Surface surface(job.shape, job.stock.width, job.stock.height, job.stock.thickness(), job.errors.zero_on,
                      lifting);
      now = 0;
      if (!surface.flat()) {
        now = static_cast<std::uint32_t>(plan.surfaces.size());
        plan.surfaces.push_back(std::move(surface));
      }
      known = true;
    }
    move.surface = now;
  }
}

}  // namespace ovolo
