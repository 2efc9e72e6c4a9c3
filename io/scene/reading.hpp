#pragma once
#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

#include "io/error.hpp"
#include "io/length.hpp"
#include "io/scene/node.hpp"

namespace ovolo::io {

/// A text that stands for a file of the scene's folder before it is written there.
struct FileInHand {
  std::string path;  ///< as the scene leads to it: its folder and the name
  std::string text;
};

/// What a scene being read has in common: its file, its units, and all that was found wrong so far.
class Reading {
 public:
  Reading(std::string file_name, std::filesystem::path scene_folder, const FileInHand* file_in_hand = nullptr)
      : file(std::move(file_name)), folder(std::move(scene_folder)), in_hand(file_in_hand) {}

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
  const FileInHand* const in_hand;     ///< nullptr: none
  /// The text that stands for that file; nullptr: it is to be read.
  const std::string* text_of(const std::string& path) const {
    return in_hand && in_hand->path == path ? &in_hand->text : nullptr;
  }
  Units units = Units::mm;
  bool bare_lengths = false;  ///< some length or feed was written without a unit

 private:
  std::vector<Fault> faults_;
};

}  // namespace ovolo::io
