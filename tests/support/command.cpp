#include "tests/support/command.hpp"

#include <sys/wait.h>

#include <cstdlib>
#include <fstream>
#include <sstream>
#include <stdexcept>

namespace ovolo::tests {

Ran run_ovolo(const std::string& arguments, const std::filesystem::path& folder) {
  const TemporaryFolder streams;
  const auto out = streams.path() / "out", err = streams.path() / "err";
  const std::string command = "cd '" + folder.string() + "' && '" OVOLO_BINARY "' " + arguments + " >'" +
                              out.string() + "' 2>'" + err.string() + "' </dev/null";
  const int status = std::system(command.c_str());
  Ran ran;
  ran.code = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  ran.out = read_text(out);
  ran.err = read_text(err);
  return ran;
}

TemporaryFolder::TemporaryFolder() {
  std::string name = (std::filesystem::temp_directory_path() / "ovolo-test-XXXXXX").string();
  if (!::mkdtemp(name.data())) throw std::runtime_error("no temporary folder");
  path_ = name;
}

TemporaryFolder::~TemporaryFolder() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

std::string read_text(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

void write_text(const std::filesystem::path& path, const std::string& text) {
  std::ofstream file(path, std::ios::binary);
  file << text;
}

}  // namespace ovolo::tests
