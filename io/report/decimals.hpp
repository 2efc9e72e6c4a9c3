#pragma once
#include <cmath>

namespace ovolo::io {

/// v to `steps` steps a unit, for files that programs read; -0 becomes 0.
inline double in_steps(double v, double steps) { return std::round(v * steps) / steps + 0.0; }

/// Lengths as report.json tells them, to 0.1 um.
inline double mm(double v) { return in_steps(v, 1e4); }
/// Crests to 1 nm, chances to a millionth.
inline double fine(double v) { return in_steps(v, 1e6); }
/// Lengths and degrees as pages hold them, finer than report.json: they round what they show once, as the
/// text report does.
inline double page_mm(double v) { return in_steps(v, 1e8); }

}  // namespace ovolo::io
