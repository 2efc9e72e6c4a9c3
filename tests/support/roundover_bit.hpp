#pragma once
#include <string>

#include "sim/job.hpp"

namespace ovolo::tests {

/// A point-cutting roundover of which radius and working depth (mm) were read, its wall `wall` mm high.
Bit roundover_bit(const std::string& id, double radius, double working_depth, double wall);

}  // namespace ovolo::tests
