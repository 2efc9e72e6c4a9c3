#include <fmt/format.h>

#include <algorithm>
#include <string>

#include "sim/shop/load.hpp"
#include "sim/shop/radius_at.hpp"
#include "sim/text.hpp"

namespace ovolo {
namespace {

void add(std::vector<Warning>& out, const Job& job, std::uint32_t operation, const char* code,
         std::string text) {
  const bool known = std::any_of(out.begin(), out.end(), [&](const Warning& w) {
    return w.code == code && w.operation == static_cast<int>(operation);
  });
  if (!known)
    out.push_back({code, std::move(text), static_cast<int>(operation), job.operations[operation].source});
}

void check_speed(const Job& job, const PassLoad& load, std::vector<Warning>& out) {
  const Bit& bit = job.bits[load.bit];
  const double diameter = 2 * bit.profile.cutting_radius();
  const double top = bit.max_spindle ? *bit.max_spindle : usual_top_speed(diameter);
  if (load.spindle <= top) return;
  const std::string name = job.operations[load.operation].name;
  if (bit.max_spindle)
    add(out, job, load.operation, "spindle-above-mark",
        fmt::format(
            "'{}' turns at {:.0f} rpm; the bit '{}' is marked for {:.0f}: set spindle to {:.0f} or less",
            name, load.spindle, bit.id, top, top));
  else
    add(out, job, load.operation, "spindle-above-usual",
        fmt::format("'{}' turns at {:.0f} rpm; a bit of {} usually runs at {:.0f} or less (common practice; "
                    "the bit's own "
                    "mark counts, give it as max_spindle)",
                    name, load.spindle, both_units(diameter), top));
}

void check_chip(const Job& job, const PassLoad& load, const Material& material, std::vector<Warning>& out) {
  const Bit& bit = job.bits[load.bit];
  const std::string name = job.operations[load.operation].name;
  const auto say = [&](const ChipRange& range, const std::string& source, bool low_too) {
    const double feed = load.spindle * bit.flutes;
    if (load.chip_load > range.high)
      add(out, job, load.operation, "chip-load-high",
          fmt::format("'{}' cuts {} per tooth; at most {} is usual ({}): set feed to {} or less", name,
                      fine_units(load.chip_load), fine_units(range.high), source,
                      feed_units(range.high * feed)));
    else if (low_too && load.chip_load < range.low) {
      const double wanted = range.low * feed, fastest = job.shop.machine.rapid;
      add(out, job, load.operation, "chip-load-low",
          fmt::format("'{}' cuts {} per tooth; at least {} is usual ({}): less rubs and burns; {}", name,
                      fine_units(load.chip_load), fine_units(range.low), source,
                      wanted <= fastest
                          ? fmt::format("set feed to {} or more, or turn slower", feed_units(wanted))
                          : fmt::format("at {:.0f} rpm and {} flute{} that takes {}, more than the machine's "
                                        "rapids, {}: turn slower "
                                        "or use a bit with fewer flutes",
                                        load.spindle, bit.flutes, bit.flutes == 1 ? "" : "s",
                                        feed_units(wanted), feed_units(fastest))));
    }
  };
  if (load.chip_load <= 0) return;
  if (material.chip_load) return say(*material.chip_load, "the shop's own range", true);
  // The table is for straight bits; a form's slender tip takes far less, so only its upper end says anything.
  if (const auto range = usual_chip_load(material.name, 2 * bit.profile.cutting_radius()))
    say(*range, "straight bits in " + material.name + ", general web reference", bit.form == "straight");
}

void check_tip(const Job& job, const PassLoad& load, std::vector<Warning>& out) {
  const Bit& bit = job.bits[load.bit];
  const std::string name = job.operations[load.operation].name;
  // A program's plunges are told with their lines elsewhere (program_checks.hpp).
  const bool by_program = job.operations[load.operation].kind == OperationKind::program;
  constexpr double kNearEnd = 0.5;  // mm above the tip
  if (load.plunge > 0.05 && !by_program && slender_tip(bit.profile))
    add(out, job, load.operation, "slender-plunge",
        fmt::format(
            "'{}' plunges the slender tip of '{}' {} straight down ({} above its end the bit is {} thick): "
            "ramp it in over about 20 mm (0.8 in) or start off the sheet (common practice, no published "
            "source)",
            name, bit.id, both_units(load.plunge), both_units(kNearEnd),
            both_units(2 * radius_at(bit.profile, kNearEnd))));
  if (load.index.value >= 50)
    add(out, job, load.operation, "tip-load",
        fmt::format(
            "'{}' bends the bit '{}' {} above its tip to {:.0f} % of its strength ({:.0f} to {:.0f} %; the "
            "strength is a guess): feed slower or take more passes",
            name, bit.id, both_units(load.tip.height), load.index.value, load.index.low, load.index.high));
}

}  // namespace

std::vector<Warning> load_warnings(const Job& job, const std::vector<PassLoad>& loads,
                                   const Material& material) {
  std::vector<Warning> out;
  for (const PassLoad& load : loads) {
    check_speed(job, load, out);
    check_chip(job, load, material, out);
    check_tip(job, load, out);
  }
  return out;
}

}  // namespace ovolo
