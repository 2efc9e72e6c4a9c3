#include "sim/shop/cost.hpp"

#include <fmt/format.h>

#include <cmath>

#include "sim/error.hpp"

namespace ovolo {
namespace {

CostShare share(double parts, double machine_seconds, double set_up_minutes, const Ranged& sanding_seconds,
                double sheets, const ShopRates& rates) {
  CostShare out;
  out.machine_minutes = machine_seconds / 60 * parts;
  out.set_up_minutes = set_up_minutes;
  out.sheets = sheets * parts;
  out.machine = (out.machine_minutes + out.set_up_minutes) / 60 * rates.machine_per_hour;
  for (double Ranged::*of : {&Ranged::low, &Ranged::value, &Ranged::high}) {
    out.sanding_minutes.*of = sanding_seconds.*of / 60 * parts;
    out.sanding.*of =
        out.sanding_minutes.*of / 60 * rates.hand_per_hour + out.sheets * rates.abrasive_per_sheet;
    out.total.*of = out.machine + out.sanding.*of;
  }
  return out;
}

}  // namespace

void check(const ShopRates& r) {
  const auto not_negative = [](double v, const char* name) {
    if (!(std::isfinite(v) && v >= 0))
      throw JobError(fmt::format("the shop's {} is {:.4g}: give 0 or more", name, v));
  };
  not_negative(r.machine_per_hour, "machine_per_hour");
  not_negative(r.hand_per_hour, "hand_per_hour");
  not_negative(r.abrasive_per_sheet, "abrasive_per_sheet");
  not_negative(r.set_up_minutes, "set_up_minutes");
  if (r.batch < 1) throw JobError(fmt::format("a batch of {} parts: give 1 or more", r.batch));
  if (r.parts_per_sheet < 1)
    throw JobError(fmt::format("{} parts per sheet: give 1 or more", r.parts_per_sheet));
}

Cost cost(double machine_seconds, const Ranged& sanding_seconds, double sanding_sheets,
          const ShopRates& rates) {
  check(rates);
  const double parts = rates.parts_per_sheet;
  const Ranged sanding{sanding_seconds.low / parts, sanding_seconds.value / parts,
                       sanding_seconds.high / parts};
  Cost out;
  out.part = share(1, machine_seconds / parts, rates.set_up_minutes / rates.batch, sanding,
                   sanding_sheets / parts, rates);
  out.batch = share(rates.batch, machine_seconds / parts, rates.set_up_minutes, sanding,
                    sanding_sheets / parts, rates);
  return out;
}

}  // namespace ovolo
