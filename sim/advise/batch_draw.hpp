#pragma once
#include <string>
#include <vector>

#include "sim/advise/draws.hpp"
#include "sim/advise/edge_case.hpp"
#include "sim/shop/curve_marks.hpp"

namespace ovolo {

/// One edge operation as a batch sees it.
struct BatchOperation {
  std::uint32_t operation = 0;
  EdgeCase edge;
  double length = 0;  ///< mm of edge on one part
  CurveMarks marks;   ///< of the settings as they are; empty when feed or spindle is not told
};

/// Every edge operation that has a form. `left_out` gets the names of the others.
std::vector<BatchOperation> batch_operations(const Job& job, std::vector<std::string>& left_out);

/// A bit as it truly is in one batch.
struct DrawnBit {
  double working_depth = 0, tip_radius = 0, cutting_radius = 0;  ///< roundovers, runout in it
  double height = 0, width = 0;  ///< other forms: how much higher and wider than drawn
  double wear = 0;               ///< mm of working depth lost per mm of edge
};

/// What the parts of a batch are cut with: bits and runout of the batch, zero, axis and sheet of each set-up,
/// and the part's own scatter. Everything is fixed by the seed, the batch's number and the part's number.
class BatchDraw {
 public:
  /// Job and operations must outlive it.
  BatchDraw(const Job& job, const std::vector<BatchOperation>& operations, std::uint64_t seed,
            std::uint64_t batch);
  /// Sections of one part, in the order of the operations.
  std::vector<SectionMeasures> part(std::uint64_t number) const;

 private:
  DrawnBit draw_bit(std::uint32_t bit) const;
  const Job* job_;
  const std::vector<BatchOperation>* operations_;
  std::uint64_t seed_, batch_;
  std::vector<DrawnBit> bits_;         // by bit of the job
  std::vector<double> length_by_bit_;  // mm of edge on one part
};

/// Edge that each bit of the job cuts on one part, mm.
std::vector<double> edge_by_bit(const Job& job, const std::vector<BatchOperation>& operations);

}  // namespace ovolo
