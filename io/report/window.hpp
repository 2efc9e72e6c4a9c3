#pragma once
#include <optional>
#include <string>
#include <vector>

#include "io/report/straight_cut.hpp"
#include "sim/advise/dial.hpp"
#include "sim/advise/dial_search.hpp"

namespace ovolo::io {

/// Which wish a straight cut breaks first: 'l' lip, 'b' band or no foot on the wall, 'f' face break, 'w' wall
/// break, 'h' a hidden layer, 'n' nothing is cut, '.' none.
char window_letter(const SectionMeasures& measures, const Job& job, const WantedForm& wanted);

/// Depths against offsets, mm, and the letter of each setting.
struct SettingWindow {
  double offset_lo = 0, offset_hi = 0, depth_lo = 0, depth_hi = 0;
  std::vector<std::string> rows;  ///< from depth_lo on, each from offset_lo on
};

/// About the settings that meet every wish, the setting (depth, offset) included.
SettingWindow make_window(const Job& job, std::uint32_t operation, double depth, double offset);

/// {"offset": [lo, hi], "depth": [lo, hi], "rows", "dial", "works", "cure"}: "dial" null without `dialed`,
/// else the setting to use, its chance, its deviations and the room on each side, or why there is none;
/// "works" false where the edge as a whole was not good with it; "cure" the setting found otherwise, with
/// which the whole edge was good, {"depth", "offset"} or null.
std::string window_json(const SettingWindow& window, const DialedEdge* dialed, bool works = true,
                        const std::optional<Setting>& cure = {});

/// The setting to use by itself, as "dial" of `window_json`.
std::string setting_json(const DialedEdge& dialed);

}  // namespace ovolo::io
