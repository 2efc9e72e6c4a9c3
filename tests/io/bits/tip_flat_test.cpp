#include <catch2/catch.hpp>

#include "io/bits/tip_flat.hpp"
#include "io/scene/scene.hpp"

using namespace ovolo;

TEST_CASE("a tip flat is told without the form's own step at the foot", "[bits]") {
  const auto flat = [](const char* scene, const std::string& id) {
    const Job job = io::read_scene(std::string(OVOLO_SOURCE_DIR "/scenes/") + scene);
    for (const Bit& bit : job.bits)
      if (bit.id == id) return io::tip_flat(bit);
    return -1.0;
  };
  CHECK(flat("shelf-ogee.toml", "ogee") ==
        Approx(6.35));  // 1/4 in; 1/16 in of step on either side is level too
  CHECK(flat("shelf-ogee.toml", "mill38") == Approx(9.525));
  CHECK(flat("trailhead-sign.toml", "round5") ==
        Approx(0.3884).margin(1e-4));  // 2 (R - sqrt(R^2 - (R - W)^2))
}
