#pragma once
#include <cstdint>
#include <vector>

#include "sim/job.hpp"
#include "sim/measure/edge.hpp"
#include "sim/measure/section.hpp"

namespace ovolo::io {

/// One straight level cut of an operation's bit, apart from everything else in the job: what a page answers
/// with before the whole job has been measured. Holds references to job and operation.
class StraightCut {
 public:
  StraightCut(const Job& job, const Operation& op);

  /// Depth and offset in mm; the section reaches past the moulded surface.
  Section section(double depth, double offset) const;
  SectionMeasures measures(const Section& section) const;
  const WantedForm& wanted() const { return wanted_; }
  /// Of an edge that is everywhere as this section; its warnings are appended.
  Verdict verdict(const SectionMeasures& measures, std::uint32_t operation,
                  std::vector<Warning>& warnings) const;

 private:
  const Job& job_;
  const Operation& op_;
  const Bit& bit_;
  WantedForm wanted_;
  SectionContext context_;
};

}  // namespace ovolo::io
