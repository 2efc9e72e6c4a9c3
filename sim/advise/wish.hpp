#pragma once
#include <cstdint>

namespace ovolo {

/// What can be wrong with an edge. `foot` (the curve ends on the wall) and `cut` (the bit reaches the part)
/// are wishes that nobody writes down; `limit` stands for the end of the settings looked at.
enum class Wish : std::uint8_t { lip, face_break, band, wall_break, hidden, foot, cut, limit };
constexpr int kWishes = 7;  ///< without `limit`

/// "lip", "face break", "flat band", "wall break", "hidden layer", "no foot", "no cut", "limit".
const char* name_of(Wish wish);

/// A set of wishes.
class WishSet {
 public:
  constexpr WishSet() = default;
  static constexpr WishSet all() { return WishSet((1u << kWishes) - 1); }
  static constexpr WishSet only(Wish w) { return WishSet(1u << static_cast<unsigned>(w)); }
  constexpr bool has(Wish w) const { return (bits_ >> static_cast<unsigned>(w) & 1u) != 0; }
  constexpr WishSet with(Wish w) const { return WishSet(bits_ | 1u << static_cast<unsigned>(w)); }
  constexpr WishSet without(Wish w) const { return WishSet(bits_ & ~(1u << static_cast<unsigned>(w))); }
  constexpr bool empty() const { return bits_ == 0; }
  constexpr bool holds(WishSet other) const { return (bits_ & other.bits_) == other.bits_; }

 private:
  constexpr explicit WishSet(unsigned bits) : bits_(bits) {}
  unsigned bits_ = 0;
};

}  // namespace ovolo
