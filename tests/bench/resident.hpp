#pragma once

namespace ovolo::bench {

/// Bytes of memory that the system says this program holds now; 0 where it does not say.
double resident_bytes();

}  // namespace ovolo::bench
