#include "io/cli/quick_close_up.hpp"

#include "io/cli/edge_close_up.hpp"
#include "render/pictures.hpp"

namespace ovolo::cli {

io::EdgeView quick_close_up(const Job& job, const Plan& plan, const MoveIndex& index,
                            const EdgeMeasures& edge) {
  const Operation& op = job.operations[edge.operation];
  const WantedForm wanted = wanted_form(op, job.bits[op.bit]);
  const auto shown = render::worst_station(edge, {job.wishes, wanted, job.stock});
  if (!shown) return {};
  return {
      shown,
      render::encode_png(edge_close_up(job, plan, index, edge, edge.stations[*shown], {880, 550, "", true})),
      {},
      {}};
}

}  // namespace ovolo::cli
