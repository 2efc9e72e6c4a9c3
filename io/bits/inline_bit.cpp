#include "io/bits/inline_bit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "io/scene/text_edits.hpp"
#include "io/scene/toml.hpp"

namespace ovolo::io {
namespace {

// Numbers of a bit that are no lengths.
constexpr std::array<std::string_view, 5> kOwnUnit{"flutes", "max_spindle", "angle", "run", "bulge"};
constexpr std::array<std::string_view, 2> kFiles{"svg", "dxf"};

template <std::size_t N>
bool among(const std::array<std::string_view, N>& keys, std::string_view key) {
  return std::find(keys.begin(), keys.end(), key) != keys.end();
}

const Node* bit_of(const Node& root, const std::string& id) {
  const Entry* bits = root.find("bits");
  const Entry* bit = bits ? bits->value.find(id) : nullptr;
  return bit && bit->value.is_table() ? &bit->value : nullptr;
}

void name_units(const Node& node, std::string_view unit, TextEdits& edits) {
  if (node.is_number())
    edits.replace(edits.extent(node), fmt::format("\"{} {}\"", edits.written(node), unit));
  for (const Node& item : node.items()) name_units(item, unit, edits);
  for (const Entry& e : node.entries())
    if (!among(kOwnUnit, e.key)) name_units(e.value, unit, edits);
}

void lead_to_files(const Node& node, const std::filesystem::path& folder, TextEdits& edits) {
  for (const Entry& e : node.entries()) {
    const auto* file = std::get_if<std::string>(&e.value.value);
    if (file && among(kFiles, e.key))
      edits.replace(edits.extent(e.value), toml_text((folder / *file).generic_string()));
    lead_to_files(e.value, folder, edits);
  }
}

// A value as it is written, or of a table under a header of its own, the same as an inline table.
std::string value_text(const Node& node, std::string_view text, const TextEdits& edits) {
  if (!node.is_table() || text.substr(edits.offset_of(node.at), 1) == "{")
    return std::string(edits.written(node));
  std::string out;
  for (const Entry& e : node.entries())
    out += fmt::format("{}{} = {}", out.empty() ? "{ " : ", ", toml_key(e.key),
                       value_text(e.value, text, edits));
  return out.empty() ? "{}" : out + " }";
}

// A comment on the line that a value ends on, with the blanks before it.
std::string_view comment_behind(std::string_view text, std::size_t end) {
  const std::size_t hash = text.find_first_not_of(" \t", end);
  if (hash == std::string_view::npos || text[hash] != '#') return {};
  return text.substr(end, std::min(text.find_first_of("\r\n", hash), text.size()) - end);
}

std::string adapted(std::string_view text, const Node& root, const Node& bit, Units units,
                    const std::filesystem::path& folder) {
  TextEdits edits(text);
  const Units own = units_told(root);
  if (own != units) name_units(bit, own == Units::inch ? "in" : "mm", edits);
  if (!folder.empty()) lead_to_files(bit, folder, edits);
  return edits.result();
}

}  // namespace

std::string inline_bit(std::string_view bits, const std::string& name, const std::string& id, Units units,
                       const std::filesystem::path& folder) {
  const Node kept = parse_toml(bits, name);
  const Node* bit = bit_of(kept, id);
  if (!bit) return {};
  const std::string text = adapted(bits, kept, *bit, units, folder);
  const Node root = parse_toml(text, name);
  bit = bit_of(root, id);
  if (!bit) return {};
  const TextEdits edits(text);
  std::string out = fmt::format("[bits.{}]\ninstead_of_kept = true\n", toml_key(id));
  for (const Entry& e : bit->entries()) {
    out += fmt::format("{} = {}", toml_key(e.key), value_text(e.value, text, edits));
    if (!e.value.is_table()) out += comment_behind(text, edits.extent(e.value).to);
    out += '\n';
  }
  return out;
}

}  // namespace ovolo::io
