#include <catch2/catch.hpp>
#include <cmath>

#include "sim/carve/region_rows.hpp"

namespace ovolo {

TEST_CASE("Rows cross a region where it begins and ends", "[carve]") {
  Region region;
  region.loops.push_back(Contour::rectangle({20, 15}, {24, 18}, 5));
  region.loops.push_back(Contour::circle({18, 14}, 4).reversed());
  // Rows through the corners' and the circle's highest and lowest points, through joints, and between.
  for (const double cell : {0.25, 0.37, 1.0, 2.0}) {
    Grid grid;
    grid.cell = cell;
    grid.columns = grid.rows = static_cast<std::int64_t>(40 / cell);
    const RegionRows rows(region, grid);
    std::int64_t wrong = 0, inside = 0;
    for (std::int64_t j = 0; j < grid.rows; ++j) {
      const auto x = rows.crossings(j);
      REQUIRE(x.size() % 2 == 0);
      for (std::int64_t i = 0; i < grid.columns; ++i) {
        const Vec2 p = grid.cell_centre(i, j);
        std::size_t before = 0;
        while (before < x.size() && x[before] < p.x) ++before;
        const bool in = before % 2 == 1;
        inside += in;
        const bool edge = before < x.size() && std::abs(x[before] - p.x) < 1e-9;
        if (!edge && in != (region.distance(p) == 0)) ++wrong;
      }
    }
    CHECK(wrong == 0);
    CHECK(inside > 0);
  }
}

}  // namespace ovolo
