#include "io/report/unit_doubts.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "io/length.hpp"
#include "io/report/used_bits.hpp"
#include "sim/text.hpp"

namespace ovolo::io {
namespace {

constexpr double kWidest = 100, kThickest = 100;    // mm
constexpr double kThinnestMoulder = 1.6;            // mm across
constexpr double kSmallSheet = 60, kThinSheet = 2;  // mm

}  // namespace

std::string unit_doubt(const Job& job, const Bit& bit) {
  const double across = 2 * bit.profile.cutting_radius();
  const bool large = job.inch && across >= kWidest;
  const bool small = !job.inch && across > 0 && across < kThinnestMoulder && bit.form != "straight" &&
                     bit.nominal_radius > 0;
  if (!large && !small) return {};
  const double own = from_mm(bit.nominal_radius, job.inch ? Units::inch : Units::mm);
  const std::string number = format_number(own, 4);
  return fmt::format(
      "is the unit of bit '{}' meant? taken in {} it is {} across{}", bit.id, job.inch ? "inches" : "mm",
      both_units(across),
      bit.nominal_radius > 0
          ? fmt::format("; if {} is its radius in {}, write \"{} {}\"", number, job.inch ? "mm" : "inches",
                        number, job.inch ? "mm" : "in")
          : fmt::format("; lengths in {} need their unit, such as {}", job.inch ? "mm" : "inches",
                        text_example(job.inch ? Units::inch : Units::mm)));
}

std::vector<Warning> unit_doubts(const Job& job) {
  std::vector<Warning> out;
  const Stock& s = job.stock;
  const double longest = std::max(s.width, s.height);
  if (job.inch && s.thickness() >= kThickest)
    out.push_back(
        {"units",
         fmt::format("is the unit of the sheet meant? taken in inches it is {} thick; if its numbers "
                     "are mm, write units = \"mm\"",
                     both_units(s.thickness())),
         -1, s.source});
  if (job.units_assumed && longest < kSmallSheet && s.thickness() < kThinSheet)
    out.push_back(
        {"units",
         fmt::format("is the unit of the sheet meant? taken in mm it is {} long and {} thick; if its "
                     "numbers are inches, write units = \"inch\" at the top of the scene",
                     both_units(longest), both_units(s.thickness())),
         -1, s.source});
  for (std::size_t i = 0; i < job.bits.size(); ++i)
    if (used(job, i))
      if (const std::string text = unit_doubt(job, job.bits[i]); !text.empty())
        out.push_back({"units", text, -1, job.bits[i].source});
  return out;
}

}  // namespace ovolo::io
