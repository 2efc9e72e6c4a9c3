#include "io/scene/strategies.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "io/file.hpp"
#include "io/scene/parts.hpp"
#include "io/scene/suggest.hpp"
#include "io/scene/table.hpp"
#include "io/scene/toml.hpp"
#include "io/text.hpp"

namespace ovolo::io {
namespace {

constexpr std::size_t kMostStrategies = 50;
constexpr std::array<std::string_view, 6> kTables{"stock",    "wishes",  "machine",
                                                  "material", "sanding", "shop"};
constexpr std::array<std::string_view, 2> kTablesOfTables{"bits", "contours"};

Entry* find(Node::Table& table, std::string_view key) {
  const auto it = std::find_if(table.begin(), table.end(), [&](const Entry& e) { return e.key == key; });
  return it == table.end() ? nullptr : &*it;
}

/// Each key of `over` takes the place of the same key in `base`, `levels` tables deep.
void lay_over(Node& base, const Node& over, int levels) {
  if (levels == 0 || !base.is_table() || !over.is_table()) {
    base = over;
    return;
  }
  auto& entries = std::get<Node::Table>(base.value);
  for (const Entry& entry : over.entries()) {
    if (Entry* there = find(entries, entry.key)) {
      lay_over(there->value, entry.value, levels - 1);
      there->at = entry.at;
    } else {
      entries.push_back(entry);
    }
  }
}

const std::string* name_of(const Node& node) { return node.find_text("name"); }

void lay_over_operations(Node& root, const Node::List& over, Reading& reading) {
  Entry* entry = find(std::get<Node::Table>(root.value), "operations");
  if (!entry || !entry->value.is_list()) return;  // the scene's own fault, told by its reader
  auto& operations = std::get<Node::List>(entry->value.value);
  for (const Node& change : over) {
    const std::string* name = name_of(change);
    if (!name) {
      reading.fault(change.at,
                    "a strategy's operation needs the `name` of the scene's operation that it changes");
      continue;
    }
    std::vector<std::string> known;
    Node* there = nullptr;
    for (Node& operation : operations)
      if (const std::string* other = name_of(operation)) {
        known.push_back(*other);
        if (*other == *name) there = &operation;
      }
    if (there)
      lay_over(*there, change, 1);
    else
      reading.fault(change.at, unknown("operation", *name, known));
  }
}

/// The scene with the strategy's changes.
Node changed(const Node& scene, const Node& strategy, std::string& name, Reading& reading) {
  Node root = scene;
  std::erase_if(std::get<Node::Table>(root.value), [](const Entry& e) { return e.key == "strategies"; });
  Table table(strategy, "the strategy", reading);
  name = table.text("name", Need::yes).value_or("");
  Node over = strategy;
  if (over.is_table())
    std::erase_if(std::get<Node::Table>(over.value), [](const Entry& e) {
      return e.key == "name" || e.key == "operations" ||
             (std::find(kTables.begin(), kTables.end(), e.key) == kTables.end() &&
              std::find(kTablesOfTables.begin(), kTablesOfTables.end(), e.key) == kTablesOfTables.end());
    });
  for (const std::string_view key : kTables) table.any(key, "", Need::no);
  for (const std::string_view key : kTablesOfTables) table.any(key, "", Need::no);
  if (const auto* operations = table.list("operations", "operations", 1000))
    lay_over_operations(root, *operations, reading);
  table.finish();
  for (const Entry& entry : over.entries()) {
    const bool deep =
        std::find(kTablesOfTables.begin(), kTablesOfTables.end(), entry.key) != kTablesOfTables.end();
    Node one{entry.at, Node::Table{entry}};
    lay_over(root, one, deep ? 3 : 2);
  }
  return root;
}

}  // namespace

std::vector<Strategy> read_strategies(const std::filesystem::path& path) {
  return parse_strategies(read_file(path), path.string(), path.parent_path());
}

std::vector<Strategy> parse_strategies(std::string_view text, const std::string& name,
                                       const std::filesystem::path& folder) {
  const Node scene = parse_toml(text, name);
  const Entry* entry = scene.find("strategies");
  if (!entry) {
    Job job = read_job(scene, name, folder);
    const std::string title = job.title;
    return {{title, std::move(job)}};
  }
  Reading reading(name, folder);
  const auto* list =
      read_list(entry->value, "`strategies` of the scene", "strategies", kMostStrategies, reading);
  std::vector<std::pair<std::string, Node>> roots;
  for (const Node& item : list ? *list : Node::List{}) {
    std::string called;
    Node root = changed(scene, item, called, reading);
    const bool twice =
        std::any_of(roots.begin(), roots.end(), [&](const auto& r) { return r.first == called; });
    if (!called.empty() && twice)
      reading.fault(item.at, fmt::format("two strategies are named \"{}\"; rename one", shown(called)));
    roots.emplace_back(called, std::move(root));
  }
  if (list && list->empty())
    reading.fault(entry->at, "the scene lists no strategies; add one under [[strategies]]");
  reading.raise();
  std::vector<Strategy> strategies;
  for (const auto& [called, root] : roots) strategies.push_back({called, read_job(root, name, folder)});
  return strategies;
}

}  // namespace ovolo::io
