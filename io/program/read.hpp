#pragma once
#include <string>
#include <string_view>

#include "io/program/notes.hpp"
#include "io/program/options.hpp"
#include "io/program/sink.hpp"

namespace ovolo::io {

/// Runs a RS274/NGC program (NISTIR 6556, version 3) and tells the sink what the machine does. It ends at M2
/// or M30, or at the second % line when its first line is %. `file` is for messages. Throws SceneError with
/// file, line and column for anything that cannot be honoured; nothing is passed over silently.
ProgramNotes read_program(std::string_view text, const std::string& file, const ProgramOptions& options,
                          ProgramSink& sink);

/// The same from a file. Throws SceneError, without a line, when it cannot be read or is larger than the
/// limit.
ProgramNotes read_program_file(const std::string& path, const ProgramOptions& options, ProgramSink& sink);

}  // namespace ovolo::io
