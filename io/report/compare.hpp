#pragma once
#include <string>
#include <vector>

#include "sim/shop/compare.hpp"

namespace ovolo::io {

/// The comparison for people: a table with one column for each strategy, then which is best for what, and
/// why.
std::string compare_text(const std::vector<Candidate>& candidates, const StrategyComparison& comparison);

/// compare.json: {"ovolo", "strategies": [{"name", "file", figures ..., "shop"}], "best": {"finish", "tip",
/// "cost": {"places", "decided", "reason"}}, "rules"}. Lengths mm, angles degrees; "shop" is that of
/// report.json.
std::string compare_json(const std::vector<Candidate>& candidates, const StrategyComparison& comparison);

}  // namespace ovolo::io
