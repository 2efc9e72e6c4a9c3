#pragma once
#include <string>
#include <vector>

#include "io/cli/run.hpp"
#include "io/output_folder.hpp"
#include "io/report/html.hpp"
#include "sim/measure/edge.hpp"
#include "sim/progress.hpp"
#include "sim/shop/estimate.hpp"
#include "sim/stock/heightfield.hpp"

namespace ovolo::cli {

/// For each edge the place that the report shows first; no pictures yet.
std::vector<io::EdgeView> edge_views(const Prepared& scene, const Measures& measures);

/// The setting to use of each edge that has one, of the first few.
void find_settings(const Prepared& scene, const Measures& measures, std::vector<io::EdgeView>& views);

/// Draws every picture of a cut into the folder: for each edge a close-up, sections at the worst and at a
/// typical station, lip and band along the contour, feed marks where they are tallest; the sheet from above.
/// Close-ups, loads and feed marks go into `views` too, and each edge's setting to use and window of
/// settings. Without a field close-ups and sheet are drawn from the moves.
void draw_pictures(const Prepared& scene, const Measures& measures, const ShopEstimate& shop,
                   const Heightfield* field, io::OutputFolder& out, std::vector<io::EdgeView>& views,
                   Progress* progress);

}  // namespace ovolo::cli
