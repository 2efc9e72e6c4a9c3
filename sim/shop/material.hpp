#pragma once
#include <optional>
#include <string>

#include "sim/shop/sand_rates.hpp"

namespace ovolo {

/// Advance per tooth, mm.
struct ChipRange {
  double low = 0, high = 0;
};

/// What is being cut, for loads. Specific energies have no confirmed value for most sheet goods: an input
/// with a range.
struct Material {
  std::string name;                    ///< as in the table, or the shop's own
  Ranged specific_energy{15, 40, 80};  ///< N/mm^2 (= J/cm^3); a guess
  std::string energy_source = "a guess";
  std::optional<ChipRange> chip_load;  ///< the shop's own usual range for this job's bits
};

/// Material by name: "particleboard", "mdf", "plywood", "softwood", "hardwood", "plastic". Throws JobError
/// listing the names there are. Particleboard: 32.0 N/mm^2 cut slowly to 37.6 fast (Palubicki 2021); the
/// others' energies are guesses.
Material material(const std::string& name);

/// Usual advance per tooth of a straight bit as deep as it is wide: hardwood, softwood, plywood and MDF by
/// the shank's 1/4 in and 1/2 in, read here by cutting diameter and in between by its share (general web
/// reference). Empty for materials without such figures. Far too much for a slender tip.
std::optional<ChipRange> usual_chip_load(const std::string& material, double cutting_diameter);

/// Highest usual spindle speed, rpm, for a cutting diameter in mm: to 1 in 24,000, to 2 in 18,000, to 2.5 in
/// 16,000, above 12,000 (common practice, no published source). The bit's own mark overrides it.
double usual_top_speed(double cutting_diameter);

}  // namespace ovolo
