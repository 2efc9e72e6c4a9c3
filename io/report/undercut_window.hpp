#pragma once
#include <string>

#include "io/report/window.hpp"
#include "sim/stop.hpp"

namespace ovolo::io {

/// Why depths against offsets say nothing of an edge; empty where they do. A form without a curve of its own
/// is measured against what it sweeps, whatever its setting.
std::string no_window(const Job& job, const Operation& operation);

/// What stands in the place of `window_json` where there is no map: {"none": reason}.
std::string no_window_json(const std::string& reason);

/// About the setting of an edge with an undercut bit, depth and offset: each setting as all the job's moves
/// leave the middle of the contour, with the wish that is missed most at either face as in `window_letter`,
/// or 'o' where the part ends short of the line. 'n' too where the job cannot be run so. Some tenths of a
/// second; what `stop` throws ends it.
SettingWindow undercut_window(const Job& job, std::uint32_t operation, const StopCheck& stop = {});

}  // namespace ovolo::io
