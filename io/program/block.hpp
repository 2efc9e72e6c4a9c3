#pragma once
#include <array>
#include <optional>
#include <vector>

#include "io/program/line.hpp"

namespace ovolo::io {

/// Modal groups of G codes (NISTIR 6556, table 4). `once` is the report's group 0: these act on their line
/// alone.
enum class GGroup : std::uint8_t {
  once,
  motion,
  plane,
  distance,
  arc_distance,
  feed_mode,
  units,
  radius,
  length,
  retract,
  system,
  path
};
inline constexpr std::size_t kGGroups = 12;
/// Modal groups of M codes.
enum class MGroup : std::uint8_t { stop, tool, spindle, coolant, overrides };
inline constexpr std::size_t kMGroups = 5;

/// A G or M code; G codes are held ten times (G59.3 is 593).
struct ProgramCode {
  int code = 0;
  LineColumn at;
};

/// "G59.3" for 593.
std::string g_name(int code);

/// One line's words sorted by what they do, with the report's rules on how often each may stand on a line.
class Block {
 public:
  /// Throws ProgramError on codes that are not known or cannot be honoured, two of a group, more than four M
  /// words, and letters given twice.
  explicit Block(const ProgramLine& line);

  const std::optional<ProgramCode>& g(GGroup group) const { return g_[static_cast<std::size_t>(group)]; }
  const std::optional<ProgramCode>& m(MGroup group) const { return m_[static_cast<std::size_t>(group)]; }
  bool has_g(GGroup group, int code) const { return g(group) && g(group)->code == code; }
  /// The word of an upper case letter, nullptr when the line has none.
  const ProgramWord* word(char letter) const;
  /// X, Y and Z by index.
  const ProgramWord* axis(std::size_t i) const { return word(static_cast<char>('X' + static_cast<int>(i))); }
  /// I, J and K by index.
  const ProgramWord* centre(std::size_t i) const {
    return word(static_cast<char>('I' + static_cast<int>(i)));
  }
  bool has_axes() const { return axis(0) || axis(1) || axis(2); }

 private:
  std::array<std::optional<ProgramCode>, kGGroups> g_;
  std::array<std::optional<ProgramCode>, kMGroups> m_;
  std::array<std::optional<ProgramWord>, 26> words_;
};

}  // namespace ovolo::io
