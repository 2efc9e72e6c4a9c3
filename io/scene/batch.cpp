#include "io/scene/parts.hpp"
#include "io/scene/table.hpp"

namespace ovolo::io {

Variation read_variation(const Node& node, Reading& reading) {
  constexpr Range kError = Range::not_negative(10);
  Table table(node, "the batch", reading);
  Variation out;
  out.z_repeat = table.length("z_repeat", kError).value_or(out.z_repeat);
  out.xy_repeat = table.length("xy_repeat", kError).value_or(out.xy_repeat);
  out.wear = table.length("wear", kError).value_or(out.wear);
  out.wear_spread = table.number("wear_spread", Range::not_negative(3)).value_or(out.wear_spread);
  out.run_before = table.number("run_before", Range::not_negative(1e6)).value_or(out.run_before);
  out.layers = table.length("layers", kError).value_or(out.layers);
  if (const auto parts = table.count("parts_per_set_up", 1, 1'000'000))
    out.parts_per_set_up = static_cast<int>(*parts);
  table.finish();
  return out;
}

}  // namespace ovolo::io
