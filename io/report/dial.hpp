#pragma once
#include <string>
#include <vector>

#include "sim/advise/dial.hpp"

namespace ovolo::io {

/// The dialled settings for people: mm and inch, a paragraph for each edge operation.
std::string dial_text(const Job& job, const std::vector<DialedEdge>& dialed, const SettingErrors& errors);
/// The same for programs: lengths in mm to 0.1 um, angles in degrees, chances from 0 to 1.
std::string dial_json(const Job& job, const std::vector<DialedEdge>& dialed, const SettingErrors& errors,
                      const std::vector<std::string>& pictures);
/// "97.1 %", "over 99.9 %", "under 0.1 %".
std::string percent_text(double chance);

}  // namespace ovolo::io
