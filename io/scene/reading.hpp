#pragma once
#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

#include "io/error.hpp"
#include "io/length.hpp"
#include "io/scene/node.hpp"

namespace ovolo::io {

/// What a scene being read has in common: its file, its units, and all that was found wrong so far.
class Reading {
 public:
  Reading(std::string file_name, std::filesystem::path scene_folder)
      : file(std::move(file_name)), folder(std::move(scene_folder)) {}

  void fault(Place at, std::string text);
  /// Faults of a file that the scene names.
  void adopt(const std::vector<Fault>& faults);
  bool faulty() const { return !faults_.empty(); }
  /// So many faults that further ones are no longer kept.
  bool full() const;
  /// Throws SceneError with all faults in the order of their places, the scene's own first, when there are
  /// any.
  void raise() const;
  Source source(Place at) const { return {file, at.line, at.column}; }

  const std::string file;
  const std::filesystem::path folder;  ///< where file names in the scene start from
  Units units = Units::mm;
  bool bare_lengths = false;  ///< some length or feed was written without a unit

 private:
  std::vector<Fault> faults_;
};

}  // namespace ovolo::io
