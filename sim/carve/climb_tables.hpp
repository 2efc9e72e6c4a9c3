#pragma once
#include <cstdint>
#include <span>
#include <vector>

#include "sim/carve/cell_task.hpp"
#include "sim/carve/climb_backs.hpp"
#include "sim/carve/cuts.hpp"
#include "sim/carve/float_profile.hpp"
#include "sim/job.hpp"

namespace ovolo {

/// Where each climbing cut is lowest: its bit's kinds of places behind the foot, and the zones beside the
/// path where it is known which is the lowest. Shared by cuts that are nearly alike.
class ClimbTables {
 public:
  /// cell: mm. The job must outlive it.
  ClimbTables(const Job& job, const std::vector<Cut>& cuts, const std::vector<FloatProfile>& bits,
              double cell);
  bool climbs(std::size_t cut) const { return climb_of_[cut] >= 0; }
  /// Of a cut that climbs.
  std::span<const ClimbPlace> places(std::size_t cut) const {
    return climbs_[static_cast<std::size_t>(climb_of_[cut])].places;
  }
  /// Ascending; none where they would cost more than they save.
  std::span<const ClimbZone> zones(std::size_t cut) const {
    return zones_[static_cast<std::size_t>(zones_of_[cut])];
  }

 private:
  struct Climb {
    std::vector<ClimbBack> backs;
    std::vector<ClimbPlace> places;
  };
  std::vector<Climb> climbs_;
  std::vector<std::vector<ClimbZone>> zones_;
  std::vector<std::int32_t> climb_of_, zones_of_;  // per cut; -1 for none
};

}  // namespace ovolo
