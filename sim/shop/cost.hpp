#pragma once
#include <string>

#include "sim/shop/sand_rates.hpp"

namespace ovolo {

/// What the shop's time costs. Money is in the shop's own currency. Every default is a guess.
struct ShopRates {
  double machine_per_hour = 60;   ///< router with its operator; a guess
  double hand_per_hour = 40;      ///< sanding; a guess
  double abrasive_per_sheet = 1;  ///< a guess
  double set_up_minutes = 20;     ///< once per batch, on the machine; a guess
  int batch = 50;                 ///< parts
  int parts_per_sheet = 1;        ///< parts that one run of the scene makes
  std::string currency;           ///< printed behind sums; may be empty
};

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
