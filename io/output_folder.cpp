#include "io/output_folder.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <memory>
#include <string_view>
#include <system_error>

namespace ovolo::io {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kUnfinished = ".unfinished-";  // then the process's number

// What to do about the system's error `code`, 0 for none of its own.
std::string_view mend(int code) {
  switch (code) {
    case ENOSPC:
    case EDQUOT:
      return "make room, or choose a folder on another disk";
    case EACCES:
    case EPERM:
    case EROFS:
      return "choose a folder you may write in";
    case ENOTDIR:
    case EEXIST:
      return "a file stands where a folder is needed: choose another folder";
    default:
      return "choose another folder";
  }
}

[[noreturn]] void fail(const fs::path& path, const std::string& reason, int code = 0) {
  // Where the whole is to stand, not where it is gathered.
  std::string shown = path.string();
  if (const std::size_t from = shown.find(kUnfinished); from != std::string::npos) {
    const std::size_t end = std::min(shown.find('/', from), shown.size());
    const bool folder = from > 0 && shown[from - 1] == '/';
    shown.erase(from, std::min(end + (folder ? 1 : 0), shown.size()) - from);
  }
  throw WriteError(fmt::format("{}: cannot be written: {}; {}",
                               shown.empty() ? "a name is missing: nothing" : shown, reason, mend(code)));
}

void write_all(const fs::path& path, std::string_view text) {
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(
      std::fopen(path.c_str(), "wb"), [](std::FILE* f) { return f ? std::fclose(f) : 0; });
  if (!file) fail(path, std::strerror(errno), errno);
  // A full disk may show only when the bytes are flushed.
  if (std::fwrite(text.data(), 1, text.size(), file.get()) != text.size() || std::fflush(file.get()) != 0 ||
      ::fsync(::fileno(file.get())) != 0)
    fail(path, std::strerror(errno), errno);
}

}  // namespace

OutputFolder::OutputFolder(fs::path target) : target_(std::move(target)) {
  std::error_code error;
  made_target_ = fs::create_directories(target_, error);
  if (error) fail(target_, error.message(), error.value());
  if (!fs::is_directory(target_)) fail(target_, "it is not a folder");
  stage_ = target_ / fmt::format("{}{}", kUnfinished, ::getpid());
  fs::create_directory(stage_, error);
  if (error) fail(stage_, error.message(), error.value());
}

OutputFolder::~OutputFolder() {
  std::error_code ignored;
  fs::remove_all(stage_, ignored);
  if (!done_ && made_target_) fs::remove(target_, ignored);
}

fs::path OutputFolder::staged(const std::string& name) {
  names_.push_back(name);
  return stage_ / name;
}

void OutputFolder::write(const std::string& name, std::string_view text) { write_all(staged(name), text); }

void OutputFolder::commit() {
  for (const std::string& name : names_) {
    std::error_code error;
    fs::rename(stage_ / name, target_ / name, error);
    if (error) fail(target_ / name, error.message(), error.value());
  }
  done_ = true;
}

void write_file(const fs::path& path, std::string_view text) {
  fs::path beside = path;
  beside += fmt::format("{}{}", kUnfinished, ::getpid());
  try {
    write_all(beside, text);
    std::error_code error;
    fs::rename(beside, path, error);
    if (error) fail(path, error.message(), error.value());
  } catch (...) {
    std::error_code ignored;
    fs::remove(beside, ignored);
    throw;
  }
}

}  // namespace ovolo::io
