#include <fmt/format.h>

#include "io/report/report.hpp"
#include "io/report/unit_doubts.hpp"
#include "io/report/used_bits.hpp"

namespace ovolo::io {

std::vector<std::string> cautions() {
  return {
      "The simulation does not know your hold-down, the bit's condition or the machine's limits: cut scrap "
      "first.",
      "Keep away from the moving cutter; use guards, eye and ear protection (OSHA 3157, 29 CFR 1910.213; "
      "noise from 85 dBA "
      "over 8 h).",
      "Never run a bit above its marked speed, and never a chipped one.",
      "Extract wood dust at its source: limits over 8 h are 3 mg/m3 for hardwood and mixed dust and 5 for "
      "softwood (HSE), 1 "
      "(NIOSH recommends); dust can burn and explode (NFPA 664). Limits as read in November 2026: check the "
      "current ones.",
      "Plastics melt and wrap round the bit: watch the first cuts.",
      "Follow the machine's manual, local codes and the people licensed to advise on them.",
  };
}

std::vector<Warning> warnings_of(const ReportInput& in) {
  std::vector<Warning> all;
  const Job& job = *in.job;
  if (job.units_assumed)
    all.push_back(
        {"units-assumed",
         "the scene does not say its units: its bare numbers were taken as mm; write units = \"mm\" or "
         "units = \"inch\" at its top",
         -1,
         {}});
  for (Warning& w : unit_doubts(job)) all.push_back(std::move(w));
  for (std::size_t i = 0; i < job.bits.size(); ++i)
    if (const Bit& bit = job.bits[i]; used(job, i) && bit.roundover && !bit.roundover->disagreement.empty())
      all.push_back(
          {"bit-readings", fmt::format("bit '{}': {}", bit.id, bit.roundover->disagreement), -1, bit.source});
  all.insert(all.end(), in.measures->warnings.begin(), in.measures->warnings.end());
  if (in.shop) all.insert(all.end(), in.shop->warnings.begin(), in.shop->warnings.end());
  if (in.solid) all.insert(all.end(), in.solid->warnings.begin(), in.solid->warnings.end());
  return all;
}

}  // namespace ovolo::io
