#pragma once

namespace ovolo {

/// A setting, mm, as a scene in its unit would have it written: to 0.001 mm, or 0.0001 in.
double as_written(double mm, bool inch);

}  // namespace ovolo
