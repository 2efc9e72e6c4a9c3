#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/report/report.hpp"
#include "sim/advise/cure.hpp"
#include "sim/advise/dial.hpp"
#include "sim/path/move_index.hpp"
#include "sim/path/plan.hpp"

namespace ovolo::io {

/// What the page shows of one edge beside its numbers, in the order of Measures::edges.
struct EdgeView {
  std::optional<std::size_t> station;  ///< the place to show first
  std::string close_up;                ///< PNG bytes, may be empty
  std::optional<DialedEdge> dialed;    ///< the setting to use, where it was looked for
  std::string window;                  ///< JSON of `window_json` or `no_window_json`, or empty
  std::string loads = {}, marks = {};  ///< SVG documents: loads along each pass, feed marks; may be empty
  Cure cure = {};                      ///< what to change, where the edge is not good
};

struct HtmlInput {
  const ReportInput* report = nullptr;
  const Plan* plan = nullptr;
  const MoveIndex* index = nullptr;
  std::vector<EdgeView> edges;
};

/// report.html: one file that needs nothing else, no network either.
std::string report_html(const HtmlInput& in);

}  // namespace ovolo::io
