#pragma once
#include <cstddef>
#include <string>

namespace ovolo {

/// Bytes a program may still take: the least of what the system has available and what its control groups
/// (version 1 and 2) leave. The largest number when nothing is known. `root` stands in for "/" in tests.
std::size_t free_memory(const std::string& root = "");

}  // namespace ovolo
