#pragma once
#include <filesystem>
#include <string>

namespace ovolo::tests {

struct Ran {
  int code = 0;
  std::string out, err;
};

/// Runs the built program with these arguments (shell words) in `folder`.
Ran run_ovolo(const std::string& arguments, const std::filesystem::path& folder);

/// A new empty folder, removed with all that is in it at the end.
class TemporaryFolder {
 public:
  TemporaryFolder();
  ~TemporaryFolder();
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

std::string read_text(const std::filesystem::path& path);
void write_text(const std::filesystem::path& path, const std::string& text);

/// Does the text hold the part?
inline bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace ovolo::tests
