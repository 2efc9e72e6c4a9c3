#pragma once
#include "sim/shop/sand_rates.hpp"
#include "sim/shop/shop_rates.hpp"

namespace ovolo {

/// Throws JobError, naming the value and its mend, when one cannot be.
void check(const ShopRates& rates);

/// Minutes, sheets of abrasive and money. Per part or per batch, as the holder says.
struct CostShare {
  double machine_minutes = 0;  ///< running; set-up apart
  double set_up_minutes = 0;
  Ranged sanding_minutes;
  double sheets = 0;
  double machine = 0;  ///< money, set-up included
  Ranged sanding;      ///< money, abrasive included
  Ranged total;        ///< money
};

struct Cost {
  CostShare part, batch;
};

/// Cost of a batch in which one sheet takes `machine_seconds` on the router and its parts together take
/// `sanding`.
Cost cost(double machine_seconds, const Ranged& sanding_seconds, double sanding_sheets,
          const ShopRates& rates);

}  // namespace ovolo
