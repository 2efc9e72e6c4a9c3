#pragma once
#include <array>
#include <cstdint>
#include <string>

namespace ovolo::render {

/// An sRGB colour, 0 to 255 each.
struct Color {
  std::uint8_t r = 0, g = 0, b = 0;
  friend bool operator==(const Color&, const Color&) = default;
};

inline Color to_color(const std::array<std::uint8_t, 3>& c) { return {c[0], c[1], c[2]}; }
/// "#rrggbb".
std::string hex(Color c);
/// a for t = 0, b for t = 1, blended in sRGB.
Color mix(Color a, Color b, double t);
/// Relative luminance, 0 to 1 (IEC 61966-2-1 primaries).
double luminance(Color c);
/// One sRGB channel (0 to 1) to linear light and back.
double to_linear(double srgb);
double to_srgb(double linear);

/// Tables of the two for pictures: an sRGB byte to linear light, linear light (0 to 1, clamped) to an sRGB
/// byte.
class ToneTable {
 public:
  ToneTable();
  double linear(std::uint8_t byte) const { return linear_[byte]; }
  std::uint8_t byte(double linear) const {
    const double v = linear > 0 ? linear * kSteps : 0;
    return bytes_[v < kSteps ? static_cast<std::size_t>(v) : kSteps - 1];
  }

 private:
  static constexpr std::size_t kSteps = 16384;
  std::array<double, 256> linear_{};
  std::array<std::uint8_t, kSteps> bytes_{};
};

// The plots' few colours: ink on paper, and a blue and an orange that stay apart for colour-blind eyes
// (Okabe and Ito's vermilion and blue); patterns tell them apart in black and white.
inline constexpr Color kInk{27, 31, 36};
inline constexpr Color kMuted{88, 97, 107};
inline constexpr Color kRule{208, 213, 219};
inline constexpr Color kPaper{255, 255, 255};
inline constexpr Color kBlue{0, 101, 163};
inline constexpr Color kOrange{196, 82, 0};

}  // namespace ovolo::render
