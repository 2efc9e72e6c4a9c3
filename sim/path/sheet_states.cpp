#include "sim/path/sheet_states.hpp"

#include <algorithm>

namespace ovolo {

void lay_on_sheet(const Job& job, Plan& plan) {
  if (job.shape.flat()) return;
  const auto& lifts = job.shape.lifts;
  const Surface lying(job.shape, job.stock.width, job.stock.height, job.stock.thickness(),
                      job.errors.zero_on);
  std::vector<bool> lifting(lifts.size(), false);
  std::uint32_t now = 0;
  bool known = false;
  for (Move& move : plan.moves) {
    for (std::size_t i = 0; i < lifts.size(); ++i) {
      if (lifting[i] || !lifts[i].up_at(move.operation, move.pass)) continue;
      lifting[i] = true;
      known = false;
    }
    if (!known) {
      Surface surface = lying.with_lifts(job.shape, lifting);
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
