#pragma once
#include <cstdint>
#include <map>
#include <vector>

#include "io/program/options.hpp"
#include "io/program/sink.hpp"
#include "sim/job.hpp"

namespace ovolo::io {

/// Vertical arcs (G18, G19) become straight lines this near to them, mm.
inline constexpr double kChordTolerance = 0.001;

/// Where a program's motions lie in the sheet.
struct ProgramPlacement {
  Vec2 at;                            ///< of the work zero on the sheet, mm
  double zero = 0;                    ///< height of the program's Z0 over the nominal face, mm
  std::map<int, std::uint32_t> bits;  ///< from tool numbers to indices into Job::bits
};

/// Collects a program's motions in sheet coordinates. Motions in the plane of the sheet stay exact; arcs in
/// the vertical planes become lines within kChordTolerance. Throws ProgramError for a tool without a bit, a
/// feed move with an empty spindle, and back boring (a one-sided cutter is no turned profile). Rapids with an
/// empty spindle cut nothing and are only counted.
class PathBuilder : public ProgramSink {
 public:
  /// Both must outlive it.
  PathBuilder(const ProgramPlacement& placement, const ProgramLimits& limits)
      : placement_(placement), limits_(limits) {}

  void motion(const TipMotion& motion) override;
  void tool_change(int tool, LineColumn at) override;
  void dwell(double seconds, LineColumn at) override;
  void message(std::string_view text, LineColumn at) override;
  void stop(ProgramStop kind, LineColumn at) override;

  std::vector<ProgramMotion> take() { return std::move(motions_); }
  double dwell_seconds() const { return dwell_; }
  std::size_t vertical_arcs() const { return vertical_arcs_; }
  std::size_t empty_rapids() const { return empty_rapids_; }
  std::size_t hand_retracts() const { return hand_retracts_; }

 private:
  void add(Segment path, double z0, double z1, const TipMotion& motion);
  void add_vertical_arc(const TipMotion& motion);
  Vec2 on_sheet(const Point3& p) const { return placement_.at + Vec2{p[0], p[1]}; }
  double height(double z) const { return placement_.zero + z; }

  const ProgramPlacement& placement_;
  const ProgramLimits& limits_;
  std::vector<ProgramMotion> motions_;
  double dwell_ = 0;
  std::size_t vertical_arcs_ = 0, empty_rapids_ = 0, hand_retracts_ = 0;
};

}  // namespace ovolo::io
