#include "tests/bench/resident.hpp"

#include <unistd.h>

#include <fstream>

namespace ovolo::bench {

double resident_bytes() {
  std::ifstream file("/proc/self/statm");
  double size = 0, resident = 0;
  file >> size >> resident;
  return file ? resident * static_cast<double>(sysconf(_SC_PAGESIZE)) : 0;
}

}  // namespace ovolo::bench
