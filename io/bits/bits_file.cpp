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

std::vector<Bit> read_bits_file(const std::filesystem::path& path, const Stock& stock) {
  return parse_bits(read_file(path), path.string(), path.parent_path(), stock);
}

std::vector<Bit> parse_bits(std::string_view text, const std::string& name,
                            const std::filesystem::path& folder, const Stock& stock) {
  const Node root = parse_toml(text, name);
  Reading reading(name, folder);
  Table file(root, "the bits file", reading);
  reading.units = file.choice("units", kUnits).value_or(0) == 1 ? Units::inch : Units::mm;
  std::vector<Bit> bits;
  if (const Node* table = file.table("bits", "a table such as [bits.round6]", Need::yes))
    bits = read_bits(*table, stock, reading);
  file.finish();
  reading.raise();
  return bits;
}

}  // namespace ovolo::io
