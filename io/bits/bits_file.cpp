#include "io/bits/bits_file.hpp"

#include <array>

#include "io/file.hpp"
#include "io/scene/parts.hpp"
#include "io/scene/table.hpp"
#include "io/scene/toml.hpp"

namespace ovolo::io {
namespace {

constexpr std::array<std::string_view, 2> kUnits{"mm", "inch"};

}  // namespace

BitsFile read_bits_file(const std::filesystem::path& path, const Stock& stock) {
  return parse_bits(read_file(path), path.string(), path.parent_path(), stock);
}

BitsFile parse_bits(std::string_view text, const std::string& name, const std::filesystem::path& folder,
                    const Stock& stock) {
  const Node root = parse_toml(text, name);
  Reading reading(name, folder);
  Table file(root, "the bits file", reading);
  reading.units = file.choice("units", kUnits).value_or(0) == 1 ? Units::inch : Units::mm;
  BitsFile out;
  out.inch = reading.units == Units::inch;
  if (const Node* table = file.table("bits", "a table such as [bits.round6]", Need::yes))
    out.bits = read_bits(*table, stock, reading);
  file.finish();
  reading.raise();
  return out;
}

}  // namespace ovolo::io
