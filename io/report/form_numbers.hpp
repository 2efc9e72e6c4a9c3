#pragma once
#include <string>
#include <vector>

#include "sim/job.hpp"

namespace ovolo::io {

/// A number that shapes a bit, as a scene's bit table names it.
struct FormNumber {
  std::string key, name;  ///< "neck_diameter", "Neck diameter"
  double value = 0;       ///< mm, or degrees
  double lo = 0, hi = 0;  ///< what is worth trying
  bool angle = false;
};

/// Every number of an undercut form, got back from its profile; none of other forms and of drawn bits.
std::vector<FormNumber> form_numbers(const Bit& bit);

}  // namespace ovolo::io
