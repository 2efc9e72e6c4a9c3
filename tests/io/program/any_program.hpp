#pragma once
#include <string_view>

namespace ovolo::test {

/// Runs arbitrary bytes as a program and ends the process when what comes out breaks a promise: finite places
/// within 100 m, motions that join, arcs that fit their ends, errors that name a place. The first byte
/// chooses the machine.
void check_any_program(std::string_view bytes);

}  // namespace ovolo::test
