#include "io/report/report.hpp"

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
  std::vector<Warning> all = in.measures->warnings;
  if (in.shop) all.insert(all.end(), in.shop->warnings.begin(), in.shop->warnings.end());
  return all;
}

}  // namespace ovolo::io
