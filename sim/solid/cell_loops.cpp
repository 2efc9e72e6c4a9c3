#include "sim/solid/cell_loops.hpp"

#include <vector>

namespace ovolo {
namespace {

bool crossed(unsigned inside, int edge) {
  return ((inside >> corner_of_edge(edge, 0)) & 1U) != ((inside >> corner_of_edge(edge, 1)) & 1U);
}

CellLoops loops_of(unsigned inside, unsigned middles) {
  CellLoops out;
  out.loop_of_edge.fill(-1);
  for (int e = 0; e < 12; ++e) {
    if (out.loop_of_edge[static_cast<std::size_t>(e)] >= 0 || !crossed(inside, e)) continue;
    // Follow the line from face to face until it closes.
    std::vector<int> stack{e};
    while (!stack.empty()) {
      const int at = stack.back();
      stack.pop_back();
      auto& loop = out.loop_of_edge[static_cast<std::size_t>(at)];
      if (loop >= 0) continue;
      loop = static_cast<std::int8_t>(out.loops);
      for (int face = 0; face < 6; ++face) {
        const int next = partner(inside, face, ((middles >> face) & 1U) != 0, at);
        if (next >= 0) stack.push_back(next);
      }
    }
    ++out.loops;
  }
  return out;
}

}  // namespace

std::array<int, 4> edges_of_face(int face) {
  const int a = face / 2, s = face % 2, b = (a + 1) % 3, c = (a + 2) % 3;
  // Edges along b have k = (coordinate on c) + 2 (on a); along c, (on a) + 2 (on b).
  return {4 * b + 0 + 2 * s, 4 * c + s + 2, 4 * b + 1 + 2 * s, 4 * c + s};
}

bool ambiguous(unsigned inside, int face) {
  for (const int e : edges_of_face(face))
    if (!crossed(inside, e)) return false;
  return true;
}

int partner(unsigned inside, int face, bool middle_inside, int edge) {
  const std::array<int, 4> around = edges_of_face(face);
  int at = -1, count = 0, other = -1;
  for (int i = 0; i < 4; ++i) {
    const int e = around[static_cast<std::size_t>(i)];
    if (e == edge) at = i;
    if (!crossed(inside, e)) continue;
    ++count;
    if (e != edge) other = e;
  }
  if (at < 0 || count == 0 || !crossed(inside, edge)) return -1;
  if (count == 2) return other;
  // Each line goes round a corner that is not joined to the middle.
  for (const int step : {1, 3}) {
    const int e = around[static_cast<std::size_t>((at + step) % 4)];
    for (int i = 0; i < 2; ++i)
      for (int j = 0; j < 2; ++j)
        if (corner_of_edge(edge, i) == corner_of_edge(e, j) &&
            (((inside >> corner_of_edge(edge, i)) & 1U) != 0) != middle_inside)
          return e;
  }
  return -1;
}

const CellLoops& cell_loops(unsigned inside, unsigned middles) {
  static const std::vector<CellLoops> all = [] {
    std::vector<CellLoops> table;
    for (unsigned m = 0; m < 64; ++m)
      for (unsigned c = 0; c < 256; ++c) table.push_back(loops_of(c, m));
    return table;
  }();
  return all[middles * 256 + inside];
}

}  // namespace ovolo
