#pragma once
#include <string>

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

}  // namespace ovolo
