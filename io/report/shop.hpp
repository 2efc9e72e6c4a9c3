#pragma once
#include <nlohmann/json_fwd.hpp>
#include <string>

#include "sim/job.hpp"
#include "sim/shop/estimate.hpp"

namespace ovolo::io {

/// The report's "shop" object: loads, time, finish, sanding and cost. Lengths mm (to 0.1 um), angles degrees,
/// the other units in the keys. A range is {"low", "value", "high"}.
nlohmann::ordered_json shop_json(const Job& job, const ShopEstimate& shop);

/// The same for people.
std::string shop_text(const Job& job, const ShopEstimate& shop);

/// The loads along every pass, one line a place: CSV with a heading that names the units. `s_mm` counts along
/// the pass.
std::string loads_csv(const Job& job, const ShopEstimate& shop);

/// "12 to 30 (likely 18)", or one number when there is no range to tell.
std::string format_range(const Ranged& r, int decimals);

}  // namespace ovolo::io
