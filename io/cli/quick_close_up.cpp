#include "io/cli/quick_close_up.hpp"

#include "io/cli/edge_close_up.hpp"
#include "render/pictures.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo::cli {

io::EdgeView quick_close_up(const Job& job, const Plan& plan, const MoveIndex& index,
                            const EdgeMeasures& edge, const io::PictureRoom& room, const StopCheck& stop) {
  const Operation& op = job.operations[edge.operation];
  const WantedForm wanted = wanted_form(op, job.bits[op.bit]);
  const auto shown = render::worst_station(edge, {job.wishes, wanted, job.stock});
  if (!shown) return {};
  // An edge that folds is drawn ray by ray, which takes seconds: it is drawn smaller.
  const bool slow = needs_voxels(job);
  CloseUpLook look = slow ? CloseUpLook{640, 400, "", true, stop} : CloseUpLook{880, 550, "", true, stop};
  if (room.narrow) {
    using Units = render::CloseUpLetters::Units;
    look.width = look.height = slow ? 500 : 720;
    look.letters = {26.0 * look.width / 720, room.inch ? Units::inch : Units::mm};
  }
  return {
      shown, render::encode_png(edge_close_up(job, plan, index, edge, edge.stations[*shown], look)), {}, {}};
}

}  // namespace ovolo::cli
