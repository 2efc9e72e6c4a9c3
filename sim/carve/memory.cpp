#include "sim/carve/memory.hpp"

#include <algorithm>
#include <fstream>
#include <limits>
#include <optional>
#include <sstream>

namespace ovolo {
namespace {

constexpr std::size_t kUnknown = std::numeric_limits<std::size_t>::max();

std::optional<std::size_t> read_number(const std::string& path) {
  std::ifstream file(path);
  std::size_t value = 0;
  if (file >> value) return value;  // version 2 writes "max" where there is no limit
  return std::nullopt;
}

// What a group's files say is left. Pages that only mirror files are given up on demand.
std::size_t left(const std::string& dir, const char* limit_file, const char* use_file,
                 const std::string& prefix) {
  const auto limit = read_number(dir + limit_file);
  if (!limit) return kUnknown;
  std::size_t used = read_number(dir + use_file).value_or(0);
  std::ifstream stat(dir + "/memory.stat");
  std::string name;
  std::size_t value = 0;
  while (stat >> name >> value)
    if (name == prefix + "inactive_file" || name == prefix + "active_file") used -= std::min(used, value);
  return *limit > used ? *limit - used : 0;
}

std::size_t available(const std::string& root) {
  std::ifstream file(root + "/proc/meminfo");
  std::string line;
  while (std::getline(file, line)) {
    std::istringstream words(line);
    std::string name;
    std::size_t kib = 0;
    if (words >> name >> kib && name == "MemAvailable:") return kib * 1024;
  }
  return kUnknown;
}

// A group's limit binds together with those of all groups above it.
template <class Left>
std::size_t least_up_the_tree(const std::string& top, std::string group, Left&& left_in) {
  std::size_t least = left_in(top);
  while (!group.empty() && group != "/") {
    least = std::min(least, left_in(top + group));
    group.erase(group.rfind('/'));
  }
  return least;
}

}  // namespace

std::size_t free_memory(const std::string& root) {
  std::size_t least = available(root);
  const auto left_v2 = [](const std::string& dir) { return left(dir, "/memory.max", "/memory.current", ""); };
  const auto left_v1 = [](const std::string& dir) {
    return left(dir, "/memory.limit_in_bytes", "/memory.usage_in_bytes", "total_");
  };
  std::ifstream file(root + "/proc/self/cgroup");
  std::string line;
  while (std::getline(file, line)) {  // "0::/group" in version 2, "7:memory:/group" in version 1
    const std::size_t first = line.find(':'), second = line.find(':', first + 1);
    if (first == std::string::npos || second == std::string::npos || line[second + 1] != '/') continue;
    const std::string controllers = line.substr(first + 1, second - first - 1),
                      group = line.substr(second + 1);
    if (controllers.empty())
      least = std::min(least, least_up_the_tree(root + "/sys/fs/cgroup", group, left_v2));
    else if (("," + controllers + ",").find(",memory,") != std::string::npos)
      least = std::min(least, least_up_the_tree(root + "/sys/fs/cgroup/memory", group, left_v1));
  }
  return least;
}

}  // namespace ovolo
