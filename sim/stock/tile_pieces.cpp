#include "sim/stock/tile_pieces.hpp"

namespace ovolo {
namespace {

struct At {
  int x, y, z;
};
At at_of(int n) { return {n >> 6, n >> 3 & 7, n & 7}; }

// Calls visit(m) for the voxels that share a face with n within the tile.
template <class Visit>
void each_beside(int n, const Visit& visit) {
  const At a = at_of(n);
  if (a.x > 0) visit(n - 64);
  if (a.x < 7) visit(n + 64);
  if (a.y > 0) visit(n - 8);
  if (a.y < 7) visit(n + 8);
  if (a.z > 0) visit(n - 1);
  if (a.z < 7) visit(n + 1);
}

std::uint64_t bit(int a, int b) { return std::uint64_t{1} << (8 * a + b); }

}  // namespace

TilePieces::TilePieces(const Material& in) {
  of.fill(-1);
  std::array<int, kVoxels> open;
  for (int first = 0; first < kVoxels; ++first) {
    if (!in[static_cast<std::size_t>(first)] || of[static_cast<std::size_t>(first)] >= 0) continue;
    const auto piece = static_cast<std::int16_t>(faces.size());
    std::array<std::uint64_t, 6> reach{};
    std::size_t count = 0;
    open[count++] = first;
    of[static_cast<std::size_t>(first)] = piece;
    while (count > 0) {
      const int n = open[--count];
      const At a = at_of(n);
      if (a.x == 0) reach[0] |= bit(a.y, a.z);
      if (a.x == 7) reach[1] |= bit(a.y, a.z);
      if (a.y == 0) reach[2] |= bit(a.x, a.z);
      if (a.y == 7) reach[3] |= bit(a.x, a.z);
      if (a.z == 0) reach[4] |= bit(a.x, a.y);
      if (a.z == 7) reach[5] |= bit(a.x, a.y);
      each_beside(n, [&](int m) {
        const auto i = static_cast<std::size_t>(m);
        if (!in[i] || of[i] >= 0) return;
        of[i] = piece;
        open[count++] = m;
      });
    }
    faces.push_back(reach);
  }
}

int TilePieces::beside(int n) const {
  int found = -1;
  each_beside(n, [&](int m) {
    if (found < 0) found = of[static_cast<std::size_t>(m)];
  });
  return found;
}

}  // namespace ovolo
