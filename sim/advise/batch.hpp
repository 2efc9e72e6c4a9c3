#pragma once
#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "sim/advise/errors.hpp"
#include "sim/advise/variation.hpp"
#include "sim/advise/wish.hpp"
#include "sim/job.hpp"
#include "sim/progress.hpp"
#include "sim/shop/sand_rates.hpp"

namespace ovolo {

struct BatchOptions {
  int parts = 100;  ///< in a batch, 1 to 100,000
  std::uint64_t seed = 1;
  Progress* progress = nullptr;
};

/// How one measure spreads over the parts drawn.
struct Spread {
  double least = 0, low = 0, middle = 0, high = 0, most = 0;  ///< smallest, 5, 50 and 95 %, largest
  double mean = 0;
  double from = 0, to = 0;   ///< range of the bins
  std::vector<double> bins;  ///< share of the values in each of equal bins
  double without = 0;        ///< share of parts where the value does not exist
};

struct BatchEdge {
  std::uint32_t operation = 0;
  double within = 0;                     ///< share of edges within every wish
  std::array<double, kWishes> broken{};  ///< share that breaks each wish
  Spread lip, band, foot_depth;          ///< mm
  Spread face_break, wall_break;         ///< radians
  std::vector<Spread> exposure;          ///< mm, by layer of the stock
};

struct BatchResult {
  int parts = 0;    ///< in a batch
  int batches = 0;  ///< drawn, to see how batches differ
  std::uint64_t seed = 0;
  std::vector<BatchEdge> edges;
  std::vector<std::string> left_out;       ///< edge operations without a form to judge
  double within = 0;                       ///< share of parts whose every edge is within the wishes
  double within_error = 0;                 ///< its standard error from drawing only so many batches
  double within_low = 0, within_high = 0;  ///< of a batch: 5 % of batches are below, 5 % above
  std::vector<double> within_by_place;     ///< that share in the first to the last tenth of the batch
  Ranged sanding_hours;                    ///< of a batch, with the rates' range
  double sanding_low = 0,
         sanding_high = 0;   ///< hours at the likely rates: 5 % of batches are below, 5 % above
  bool marks_known = false;  ///< feed marks are in the sanding (feed and spindle speed are told)

  /// How many first parts to look at: the fewest after which, all of them good, the rest of the batch is bad
  /// (one in ten or more of its parts outside the wishes) with a chance of no more than 5 %. 0: it is good
  /// unseen. Counted over the batches drawn, for parts of a batch share their bit and, in runs, their
  /// set-up: were each part good or bad by itself, it would take the n of 0.9^n <= 0.05, which is 29.
  std::optional<int> first_parts;  ///< empty when even `most_looked` do not tell
  static constexpr int most_looked = 20;
  double bad_batches = 0;     ///< share of batches that are bad in that sense, unseen
  double bad_after_look = 0;  ///< and of those that pass the look
  int passed_look = 0;        ///< batches drawn that pass it, which that share is counted over
  /// When to read a bit again: metres of edge after which wear has raised the chance of a bad edge by 0.05,
  /// and how many parts that is; empty when the whole batch wears less. The operation that asks for it first.
  std::optional<double> metres_to_reading;
  int parts_to_reading = 0;
  int reading_operation = -1;
};

/// Draws batches (bits within their reading errors, set-ups, sheets, wear) and measures the straight section
/// of each edge operation of each part. What other operations do to the same edge, and places where the sheet
/// is not flat, are not in it. The same seed gives the same result on any number of threads. Throws JobError.
BatchResult draw_batches(const Job& job, const BatchOptions& options);

}  // namespace ovolo
