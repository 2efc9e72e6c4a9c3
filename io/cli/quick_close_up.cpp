#include "io/cli/quick_close_up.hpp"

#include "render/pictures.hpp"
#include "sim/carve/carve.hpp"

namespace ovolo::cli {

io::EdgeView quick_close_up(const Job& job, const Plan& plan, const MoveIndex& index,
                            const EdgeMeasures& edge) {
  const Operation& op = job.operations[edge.operation];
  const WantedForm wanted = wanted_form(op, job.bits[op.bit]);
  const auto shown = render::worst_station(edge, {job.wishes, wanted, job.stock});
  if (!shown) return {};
  const Station& station = edge.stations[*shown];
  render::CloseUpView view = render::close_up_view(station, wanted, job.stock);
  view.width = 880;
  view.height = 550;
  CarveOptions options;
  options.cell = render::close_up_cell(view);
  options.window = render::close_up_window(view, job.stock);
  const Heightfield field = carve(job, plan, index, options);
  const Contour contour =
      job.contours[static_cast<std::size_t>(op.contour)].contour.translated(edge.copies.front());
  return {shown,
          render::encode_png(
              render::draw_close_up({field, job.stock, contour, op.keep, view, "", &station.measures, true})),
          {},
          {}};
}

}  // namespace ovolo::cli
