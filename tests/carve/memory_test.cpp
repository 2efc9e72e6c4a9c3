#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <limits>

#include "sim/carve/memory.hpp"

namespace ovolo {
namespace {

// A small stand-in for the system's files.
class Root {
 public:
  Root() : path_(std::filesystem::temp_directory_path() / "ovolo_memory_test") {
    std::filesystem::remove_all(path_);
    std::filesystem::create_directories(path_);
  }
  ~Root() { std::filesystem::remove_all(path_); }
  Root& file(const std::string& name, const std::string& text) {
    std::filesystem::create_directories((path_ / name).parent_path());
    std::ofstream(path_ / name) << text;
    return *this;
  }
  std::size_t free() const { return free_memory(path_.string()); }

 private:
  std::filesystem::path path_;
};

constexpr const char* kMeminfo = "MemTotal: 8000 kB\nMemFree: 100 kB\nMemAvailable:    5000 kB\n";

}  // namespace

TEST_CASE("What the system has available is free", "[memory]") {
  Root root;
  CHECK(root.free() == std::numeric_limits<std::size_t>::max());
  CHECK(root.file("proc/meminfo", kMeminfo).free() == 5000 * 1024);
  CHECK(free_memory() > 0);
}

TEST_CASE("A control group's limit binds, with those above it", "[memory]") {
  Root root;
  root.file("proc/meminfo", kMeminfo).file("proc/self/cgroup", "0::/shop/job\n");
  root.file("sys/fs/cgroup/shop/job/memory.max", "max\n")
      .file("sys/fs/cgroup/shop/job/memory.current", "1000\n");
  CHECK(root.free() == 5000 * 1024);
  root.file("sys/fs/cgroup/shop/memory.max", "3000000\n")
      .file("sys/fs/cgroup/shop/memory.current", "1000000\n");
  CHECK(root.free() == 2000000);
  root.file("sys/fs/cgroup/shop/memory.stat", "anon 700000\ninactive_file 200000\nactive_file 100000\n");
  CHECK(root.free() == 2300000);  // pages of files are given up on demand
  root.file("sys/fs/cgroup/shop/job/memory.max", "500\n");
  CHECK(root.free() == 0);
}

TEST_CASE("The first version of control groups counts too", "[memory]") {
  Root root;
  root.file("proc/meminfo", kMeminfo).file("proc/self/cgroup", "5:cpu,cpuacct:/a\n4:memory:/b\n0::/\n");
  root.file("sys/fs/cgroup/memory/b/memory.limit_in_bytes", "900000")
      .file("sys/fs/cgroup/memory/b/memory.usage_in_bytes", "400000");
  CHECK(root.free() == 500000);
  root.file("sys/fs/cgroup/memory/b/memory.stat", "total_inactive_file 50000\ninactive_file 7\n");
  CHECK(root.free() == 550000);
}

}  // namespace ovolo
