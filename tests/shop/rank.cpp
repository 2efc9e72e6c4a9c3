#include "sim/shop/rank.hpp"

#include <catch2/catch.hpp>
#include <limits>

using namespace ovolo;

namespace {
Ranged sharp(double v) { return {v, v, v}; }
using Places = std::vector<std::vector<std::size_t>>;
}  // namespace

TEST_CASE("differences too small to matter share a place", "[shop]") {
  CHECK(rank({sharp(10), sharp(5), sharp(5.4)}, {0.1, 0}).places == Places{{1, 2}, {0}});
  CHECK(rank({sharp(10), sharp(5), sharp(5.6)}, {0.1, 0}).places == Places{{1}, {2}, {0}});
  CHECK(rank({sharp(0.2), sharp(0.9), sharp(1.3)}, {0.1, 1}).places == Places{{0, 1}, {2}});
  CHECK(rank({sharp(10), sharp(5)}, {0.1, 0}).decided());
  CHECK_FALSE(rank({sharp(5.1), sharp(5)}, {0.1, 0}).decided());
  CHECK_FALSE(rank({}, {}).decided());
}

TEST_CASE("a chain of small steps does not join far ends", "[shop]") {
  CHECK(rank({sharp(10), sharp(10.9), sharp(11.8)}, {0.1, 0}).places == Places{{0, 1}, {2}});
}

TEST_CASE("an order that the ranges could turn over is none", "[shop]") {
  // The second costs more at the likely rate but less where sanding is slow.
  CHECK(rank({{8, 10, 20}, {11, 12, 14}}, {0.1, 0}).places == Places{{0, 1}});
  CHECK(rank({{8, 10, 20}, {11, 12, 24}}, {0.1, 0}).places == Places{{0}, {1}});
}

TEST_CASE("figures that do not exist come last", "[shop]") {
  const double nan = std::numeric_limits<double>::quiet_NaN(), inf = std::numeric_limits<double>::infinity();
  CHECK(rank({sharp(nan), sharp(3), sharp(inf)}, {}).places == Places{{1}, {0, 2}});
}
