#pragma once
#include <filesystem>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace ovolo::io {

/// Something could not be written: names the path and the system's reason.
class WriteError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// Files of one run, all or none: they are written into a hidden folder inside the target and moved to their places
/// by `commit`. Without commit nothing is left behind, and what stood there before stays.
class OutputFolder {
 public:
  /// Creates the target when it is missing. Throws WriteError.
  explicit OutputFolder(std::filesystem::path target);
  ~OutputFolder();
  OutputFolder(const OutputFolder&) = delete;
  OutputFolder& operator=(const OutputFolder&) = delete;

  const std::filesystem::path& target() const { return target_; }
  /// Where a writer of its own puts the file `name` (no folders in it).
  std::filesystem::path staged(const std::string& name);
  void write(const std::string& name, std::string_view text);
  const std::vector<std::string>& names() const { return names_; }
  void commit();

 private:
  std::filesystem::path target_, stage_;
  std::vector<std::string> names_;
  bool made_target_ = false, done_ = false;
};

/// Writes one file beside its final name and renames it. Throws WriteError.
void write_file(const std::filesystem::path& path, std::string_view text);

}  // namespace ovolo::io
