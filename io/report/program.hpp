#pragma once
#include <optional>

#include "sim/measure/edge.hpp"
#include "sim/path/program_report.hpp"

namespace ovolo::io {

/// How the program that made this edge really runs along it; empty for other operations and where it never
/// passes.
std::optional<ProgramPathReport> program_path(const Job& job, const EdgeMeasures& edge);

}  // namespace ovolo::io
