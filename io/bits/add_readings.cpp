#include "io/bits/add_readings.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "io/error.hpp"
#include "io/length.hpp"
#include "io/scene/text_edits.hpp"
#include "io/scene/toml.hpp"
#include "io/text.hpp"

namespace ovolo::io {
namespace {

std::string item_text(const BitReading& r) {
  std::string out = fmt::format("{{ what = \"{}\", value = \"{} mm\", error = \"{} mm\"", r.what,
                                format_number(r.value, 3), format_number(std::max(r.error, 1e-3), 3));
  if (!r.date.empty()) out += ", date = " + r.date;
  if (r.run) out += ", run = " + format_number(*r.run, 1);
  return out + " }";
}

}  // namespace

std::string new_bits_file(const Bit& bit) {
  std::string out = fmt::format(
      "# Bits and their readings; older readings stay, those of the latest date count.\n\n[bits.{}]\n"
      "form = \"point_roundover\"\nradius = \"{} mm\"\nflutes = {}\n",
      toml_key(bit.id), format_number(bit.nominal_radius, 4), bit.flutes);
  const auto length = [&](const char* key, const std::optional<double>& value) {
    if (value) out += fmt::format("{} = \"{} mm\"\n", key, format_number(*value, 4));
  };
  length("cutting_length", bit.cutting_length);
  length("shank_diameter", bit.shank_diameter);
  if (bit.max_spindle) out += fmt::format("max_spindle = {}\n", format_number(*bit.max_spindle, 1));
  return out;
}

std::string with_readings(std::string_view text, const std::string& name, const std::string& bit,
                          const std::vector<BitReading>& readings) {
  const Node root = parse_toml(text, name);
  const Entry* bits = root.find("bits");
  const Entry* entry = bits ? bits->value.find(bit) : nullptr;
  if (!entry || !entry->value.is_table() || entry->value.entries().empty())
    throw SceneError(Source{name, 0, 0},
                     fmt::format("the file has no bit `{}`; add [bits.{}] first", shown(bit), shown(bit)));
  const Node& table = entry->value;
  TextEdits edits(text);
  std::string items;
  for (const BitReading& r : readings) items += (items.empty() ? "" : ",\n  ") + item_text(r);
  const Entry* list = table.find("readings");
  if (list && list->value.is_list() && !list->value.items().empty()) {
    edits.insert(edits.extent(list->value.items().back()).to, ",\n  " + items);
    return edits.result();
  }
  // The plain keys of the same kinds become the list's first items.
  std::string old;
  const Entry* first = nullptr;
  for (const Entry& e : table.entries()) {
    const bool same =
        std::any_of(readings.begin(), readings.end(), [&](const BitReading& r) { return r.what == e.key; });
    if (!same) continue;
    old += fmt::format("{{ what = \"{}\", value = {} }},\n  ", e.key, edits.written(e.value));
    if (first) edits.replace(edits.extent(e), "");
    if (!first) first = &e;
  }
  const std::string whole = fmt::format("readings = [\n  {}{} ]", old, items);
  if (list) edits.replace(edits.extent(*list), whole);
  if (first) {
    edits.replace(edits.extent(*first), list ? "" : whole);
  } else if (!list) {
    // Behind its last key; a comment there stays with that key.
    const std::size_t end = edits.extent(table.entries().back()).to;
    edits.insert(std::min(text.find('\n', end), text.size()), "\n" + whole);
  }
  return edits.result();
}

}  // namespace ovolo::io
