#include "io/try/kept_bits.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "io/bits/inline_bit.hpp"
#include "io/file.hpp"
#include "io/scene/text_edits.hpp"
#include "io/scene/toml.hpp"

namespace ovolo::io {
namespace {

namespace fs = std::filesystem;

// ID of "bits/ID/KEY"; empty for any other path.
std::string bit_of_path(const std::string& path) {
  constexpr std::string_view kBits = "bits/";
  if (!path.starts_with(kBits)) return {};
  const std::size_t end = path.find('/', kBits.size());
  return end == std::string::npos ? std::string() : path.substr(kBits.size(), end - kBits.size());
}

// Before the first table's header and the comment above it: there no key of the scene's own comes after it.
std::size_t place_for_table(std::string_view text, const Node& root) {
  const TextEdits places(text);
  std::size_t first = text.size();
  const auto consider = [&](const Node& node) {
    const std::size_t at = places.offset_of(node.at);
    if (node.is_table() && at < text.size() && text[at] == '[') first = std::min(first, at);
  };
  for (const Entry& e : root.entries()) {
    consider(e.value);
    for (const Node& item : e.value.items()) consider(item);
    for (const Entry& inner : e.value.entries()) consider(inner.value);
  }
  std::size_t line = first == text.size() ? first : text.rfind('\n', first) + 1;
  while (line > 0 && first < text.size()) {
    const std::size_t before = line < 2 ? 0 : text.rfind('\n', line - 2) + 1;
    if (text[before] != '#') break;
    line = before;
  }
  return line;
}

}  // namespace

WithKeptBits with_kept_bits(const Sample& sample, const std::vector<Edit>& edits) {
  WithKeptBits out{sample.text, {}, {}};
  if (std::none_of(edits.begin(), edits.end(), [](const Edit& e) { return !bit_of_path(e.path).empty(); }))
    return out;
  const Node root = parse_toml(sample.text, sample.file);
  const std::string* file = root.find_text("bits_file");
  if (!file) return out;
  out.bits_file = *file;
  const Entry* own = root.find("bits");
  std::string kept, tables;
  for (const Edit& e : edits) {
    const std::string id = bit_of_path(e.path);
    if (id.empty() || (own && own->value.find(id)) ||
        std::find(out.written.begin(), out.written.end(), id) != out.written.end())
      continue;
    const fs::path path = sample.folder / *file;
    if (kept.empty()) kept = read_file(path);
    const std::string table =
        inline_bit(kept, path.string(), id, units_told(root), fs::path(*file).parent_path());
    if (table.empty()) continue;
    out.written.push_back(id);
    tables +=
        fmt::format("# As kept in {} but for the numbers that were tried; the kept bit stays as it is.\n{}\n",
                    *file, table);
  }
  if (tables.empty()) return out;
  const std::size_t at = place_for_table(out.text, root);
  if (at > 0 && out.text[at - 1] != '\n') tables = '\n' + tables;
  out.text.insert(at, tables);
  return out;
}

}  // namespace ovolo::io
