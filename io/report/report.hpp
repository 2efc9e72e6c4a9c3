#pragma once
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "sim/advise/dial.hpp"
#include "sim/carve/carve.hpp"
#include "sim/job.hpp"
#include "sim/measure/edge.hpp"
#include "sim/shop/estimate.hpp"

namespace ovolo::io {

/// How long the parts of a run took, seconds.
struct Timing {
  double carve = 0, measure = 0, render = 0;
  std::int64_t cells = 0;
};

/// What is known of the finished solid.
struct SolidReport {
  std::optional<double> part_volume;  ///< mm^3, of all parts in the sheet
  std::vector<std::string> files;
  bool whole_sheet = false;  ///< what the files hold, instead of the part
  double tolerance = 0;      ///< mm
  std::size_t triangles = 0;
  double volume = 0;  ///< mm^3, of what the files hold
  std::vector<Warning> warnings;
};

/// All that a report is written from; nothing is owned.
struct ReportInput {
  const Job* job = nullptr;
  const Measures* measures = nullptr;
  const RemovedVolume* removed = nullptr;         ///< may be absent: then `stock` has no volumes
  const SolidReport* solid = nullptr;             ///< may be absent
  const ShopEstimate* shop = nullptr;             ///< may be absent: then there is no "shop"
  std::vector<std::optional<DialedEdge>> dialed;  ///< the setting to use of each edge; may be empty
  Timing timing;
  std::vector<std::string> pictures;  ///< file names beside the report
};

/// report.json: lengths in mm to 0.1 um, angles in degrees; the keys are in DEVELOPERS.md.
std::string report_json(const ReportInput& in);
/// sections.csv: one line per station, lengths in mm, angles in degrees, empty where a value does not exist.
std::string sections_csv(const Job& job, const Measures& measures);
/// The report for people: mm and inch, lips also in um and thou.
std::string report_text(const ReportInput& in);

/// The warnings of the measures and of the shop, in this order.
std::vector<Warning> warnings_of(const ReportInput& in);

/// The usual cautions, a line each.
std::vector<std::string> cautions();

}  // namespace ovolo::io
