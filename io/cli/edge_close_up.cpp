#include "io/cli/edge_close_up.hpp"

#include <algorithm>
#include <optional>

#include "sim/carve/carve.hpp"
#include "sim/measure/folded_measures.hpp"
#include "sim/measure/verdict.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo::cli {

render::Image edge_close_up(const Job& job, const Plan& plan, const MoveIndex& index,
                            const EdgeMeasures& edge, const Station& station, const CloseUpLook& look) {
  const Operation& op = job.operations[edge.operation];
  const Contour contour =
      job.contours[static_cast<std::size_t>(op.contour)].contour.translated(edge.copies.front());
  const Stock stock = from_below(edge) ? turned_stock(job.stock) : job.stock;
  render::CloseUpView view = render::close_up_view(station, wanted_form(op, job.bits[op.bit]), stock);
  view.width = look.width;
  view.height = look.height;
  view.turned = from_below(edge);
  if (edge.other) {  // both faces are moulded: all of the edge is shown
    view.field_width = std::max(view.field_width, 2.4 * stock.thickness());
    view.target.y = -stock.thickness() / 2;
  }
  Heightfield field;
  std::optional<FinishedSheet> sheet;
  if (needs_voxels(job)) {
    sheet.emplace(job, plan, index, SolidOf::part);
  } else {
    CarveOptions options;
    options.cell = render::close_up_cell(view);
    options.window = render::close_up_window(view, job.stock);
    field = carve(job, plan, index, options);
  }
  return render::draw_close_up({field, stock, contour, op.keep, view, look.title,
                                look.labels ? &station.measures : nullptr, look.labels,
                                sheet ? &*sheet : nullptr, look.stop, look.letters,
                                leaves_arris(own_face_break(wanted_form(op, job.bits[op.bit])))});
}

}  // namespace ovolo::cli
