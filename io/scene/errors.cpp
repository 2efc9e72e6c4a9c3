#include <array>

#include "io/scene/parts.hpp"
#include "io/scene/table.hpp"

namespace ovolo::io {

SettingErrors read_errors(const Node& node, SettingErrors errors, Reading& reading) {
  constexpr std::array<std::string_view, 2> kZero{"face", "spoilboard"};
  constexpr Range kError = Range::not_negative(10);
  Table table(node, "the errors", reading);
  if (const auto zero = table.choice("zero_on", kZero)) errors.zero_on = static_cast<ZeroOn>(*zero);
  errors.z = table.length("z", kError).value_or(errors.z);
  errors.xy = table.length("xy", kError).value_or(errors.xy);
  errors.runout = table.length("runout", kError).value_or(errors.runout);
  errors.thickness = table.length("thickness", kError).value_or(errors.thickness);
  errors.readings = table.length("readings", kError);
  table.finish();
  return errors;
}

}  // namespace ovolo::io
