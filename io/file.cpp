#include "io/file.hpp"

#include <fmt/format.h>

#include <cerrno>
#include <fstream>
#include <system_error>
#include <vector>

#include "io/error.hpp"

namespace ovolo::io {
namespace {

[[noreturn]] void fail(const std::filesystem::path& path, const std::string& why) {
  throw SceneError(Source{path.string(), 0, 0}, why);
}

}  // namespace

std::string read_file(const std::filesystem::path& path, std::size_t most) {
  std::error_code error;
  if (std::filesystem::is_directory(path, error))
    fail(path, "cannot be read: it is a folder; name a file in it");
  errno = 0;
  std::ifstream in(path, std::ios::binary);
  if (!in)
    fail(path, fmt::format("cannot be read ({}); check its name and its rights",
                           std::error_code(errno, std::generic_category()).message()));
  std::string text;
  std::vector<char> block(std::size_t{1} << 16);
  while (in) {
    in.read(block.data(), static_cast<std::streamsize>(block.size()));
    text.append(block.data(), static_cast<std::size_t>(in.gcount()));
    if (text.size() > most)
      fail(path, fmt::format("is larger than {} bytes; leave out what is not needed", most));
  }
  if (in.bad()) fail(path, "cannot be read to its end; check the disk");
  return text;
}

}  // namespace ovolo::io
