#pragma once
#include <cstdint>
#include <optional>

namespace ovolo {

/// One standard deviation of a caliper reading, mm, where nothing else is told.
inline constexpr double kReadingError = 0.03;

/// What Z zero is set on.
enum class ZeroOn : std::uint8_t { face, spoilboard };

/// How far a cut may be from what the program says: standard deviations of normal errors, mm.
struct SettingErrors {
  ZeroOn zero_on = ZeroOn::face;
  double z = 0.03;         ///< of setting Z zero, and of Z itself
  double xy = 0.02;        ///< of the axis against the contour
  double runout = 0.02;    ///< total indicator reading at the bit, a width, not a deviation
  double thickness = 0.1;  ///< of the sheet; enters the depth only when zero is set on the spoilboard. EN
                           ///< 622-1 allows +-0.20 mm to 19 mm (from memory), taken as two deviations
  std::optional<double> readings;  ///< of each reading of a bit; absent: the bit's own, else kReadingError

  /// Of the depth below the face, the bit's own readings apart.
  double depth() const;
  /// Runout makes the bit cut wider: one flute of two stands out by e |cos|, e half the indicator reading,
  /// its direction by chance. The mean and the deviation of that.
  double growth() const;
  double growth_sigma() const;
};

}  // namespace ovolo
