#pragma once
#include <array>
#include <cstdint>

namespace ovolo {

/// How the surface passes through a cube cell. Corner c has x = c & 1, y = c >> 1 & 1, z = c >> 2. Edge
/// 4 a + k runs along axis a from the corner whose two other coordinates are k & 1 (axis a + 1) and k >> 1
/// (axis a + 2). Face 2 a + s has coordinate s on axis a.
struct CellLoops {
  int loops = 0;
  std::array<std::int8_t, 12> loop_of_edge{};  ///< -1 where the surface does not cross
};

constexpr int corner_of_edge(int edge, int end) {
  const int a = edge / 4, k = edge % 4, b = (a + 1) % 3, c = (a + 2) % 3;
  return (end << a) | ((k & 1) << b) | ((k >> 1) << c);
}

/// The edges of a face in order around it.
std::array<int, 4> edges_of_face(int face);
/// Is the face crossed four times? `inside` has a bit for each corner in the material.
bool ambiguous(unsigned inside, int face);
/// The two edges of a face that the surface joins to one line: the partner of `edge`, or -1. `middle_inside`
/// tells, on an ambiguous face, whether its middle is in the material.
int partner(unsigned inside, int face, bool middle_inside, int edge);
/// `middles` has a bit for each face whose middle is in the material; it counts on ambiguous faces only.
const CellLoops& cell_loops(unsigned inside, unsigned middles);

}  // namespace ovolo
