#include "io/date.hpp"

#include <fmt/chrono.h>

#include <chrono>
#include <cstdio>
#include <ctime>

namespace ovolo::io {

std::optional<int> days_of(const std::string& date) {
  int y = 0, m = 0, d = 0, used = 0;
  if (std::sscanf(date.c_str(), "%4d-%2d-%2d%n", &y, &m, &d, &used) != 3) return {};
  if (used != static_cast<int>(date.size()) || used != 10 || y < 1 || m < 1 || d < 1) return {};
  using namespace std::chrono;
  const year_month_day day_of{year{y}, month{static_cast<unsigned>(m)}, day{static_cast<unsigned>(d)}};
  if (!day_of.ok()) return {};
  return static_cast<int>(sys_days(day_of).time_since_epoch().count());
}

std::string today() {
  const std::time_t now = std::time(nullptr);
  return fmt::format("{:%Y-%m-%d}", fmt::localtime(now));
}

}  // namespace ovolo::io
