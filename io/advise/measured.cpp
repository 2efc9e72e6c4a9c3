#include "io/advise/measured.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <optional>

#include "io/error.hpp"
#include "io/file.hpp"
#include "io/scene/table.hpp"
#include "io/scene/toml.hpp"
#include "io/text.hpp"

namespace ovolo::io {
namespace {

constexpr std::size_t kMostCuts = 1000;
constexpr double kMost = 1000;  // mm
// In the order of CutRead.
constexpr std::array<std::string_view, kCutReads> kReads{"lip",   "band", "foot",
                                                         "width", "line", "line_width"};
constexpr std::array<std::string_view, 2> kUnits{"mm", "inch"};

std::string_view trimmed(std::string_view s) {
  const auto first = s.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return s.substr(first, s.find_last_not_of(" \t") - first + 1);
}

std::optional<CutRead> read_of(std::string_view key) {
  const auto it = std::find(kReads.begin(), kReads.end(), key);
  if (it == kReads.end()) return {};
  return static_cast<CutRead>(it - kReads.begin());
}

// The values of one cut's text.
class CutWords {
 public:
  CutWords(const std::string& place, const MeasuredDefaults& defaults) : place_(place), defaults_(defaults) {}

  double length(std::string_view text, std::string_view key) const {
    try {
      return parse_length(trimmed(text), defaults_.units);
    } catch (const UnitError& e) {
      fail(fmt::format("{}: {}", key, e.what()));
    }
  }
  // "1.38" or "1.38 +- 0.02".
  CutReading reading(std::string_view text, std::string_view key, CutRead what, double error) const {
    for (const std::string_view sign : {std::string_view("+-"), std::string_view("\u00b1")}) {
      const auto at = text.find(sign);
      if (at == std::string_view::npos) continue;
      const std::string_view value = trimmed(text.substr(0, at)),
                             spread = trimmed(text.substr(at + sign.size()));
      // "1.80 +- 0.02 mm": one unit at the end is that of both.
      const auto unit = spread.find_last_of("0123456789.") + 1;
      const bool told = value.find_last_of("0123456789.") + 1 < value.size();
      const std::string whole =
          told ? std::string(value) : std::string(value) + std::string(spread.substr(unit));
      return {what, length(whole, key), length(spread, key)};
    }
    return {what, length(text, key), error};
  }
  int number(std::string_view text, std::string_view key) const {
    int value = 0;
    const auto [end, bad] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (bad != std::errc{} || end != text.data() + text.size())
      fail(fmt::format("{} is \"{}\"; number the set-ups 1, 2, ...", key, shown(text)));
    return value;
  }
  [[noreturn]] void fail(const std::string& what) const { throw SceneError(Source{place_, 0, 0}, what); }

 private:
  const std::string& place_;
  const MeasuredDefaults& defaults_;
};

std::vector<std::pair<std::string_view, std::string_view>> pairs_of(std::string_view text,
                                                                    const CutWords& words) {
  std::vector<std::pair<std::string_view, std::string_view>> out;
  while (!trimmed(text).empty()) {
    const auto end = std::min(text.find_first_of(",;"), text.size());
    const std::string_view item = trimmed(text.substr(0, end));
    text = end < text.size() ? text.substr(end + 1) : std::string_view{};
    if (item.empty()) continue;
    const auto equals = item.find('=');
    if (equals == std::string_view::npos)
      words.fail(fmt::format("\"{}\" is no key = value; write such as \"depth = 5, offset = 0, lip = 1.38\"",
                             shown(item)));
    out.emplace_back(trimmed(item.substr(0, equals)), trimmed(item.substr(equals + 1)));
  }
  return out;
}

}  // namespace

TestCut parse_measured(std::string_view text, const std::string& place, const MeasuredDefaults& defaults) {
  const CutWords words(place, defaults);
  TestCut cut;
  cut.depth = defaults.depth;
  cut.offset = defaults.offset;
  const auto pairs = pairs_of(text, words);
  double error = defaults.error;
  for (const auto& [key, value] : pairs)
    if (key == "error") error = words.length(value, key);
  if (!(error > 0)) words.fail("the reading error must be more than 0");
  for (const auto& [key, value] : pairs) {
    if (key == "error") continue;
    if (key == "depth") {
      cut.depth = words.length(value, key);
    } else if (key == "offset") {
      cut.offset = words.length(value, key);
    } else if (key == "name") {
      cut.name = shown(value, 40);
    } else if (key == "set_up") {
      cut.set_up = words.number(value, key);
    } else if (const auto what = read_of(key)) {
      cut.readings.push_back(words.reading(value, key, *what, error));
    } else {
      words.fail(fmt::format("\"{}\" is no key of a test cut; known: depth, offset, set_up, name, error, {}",
                             shown(key), fmt::join(kReads, ", ")));
    }
  }
  return cut;
}

namespace {

TestCut read_cut(const Node& item, std::size_t number, double error, const MeasuredDefaults& defaults,
                 Reading& reading) {
  Table table(item, fmt::format("cut {}", number), reading);
  TestCut cut;
  cut.name = table.text("name").value_or(fmt::format("cut {}", number));
  cut.depth = table.length("depth", Range::positive(kMost)).value_or(defaults.depth);
  cut.offset = table.length("offset", Range::between(-kMost, kMost)).value_or(defaults.offset);
  cut.set_up = static_cast<int>(table.count("set_up", 0, 1'000'000).value_or(0));
  const double own = table.length("error", Range::positive(kMost)).value_or(error);
  for (std::size_t k = 0; k < kReads.size(); ++k) {
    const Node* node = table.any(kReads[k], "a length, or { value = 1.38, error = 0.02 }");
    if (!node) continue;
    CutReading r{static_cast<CutRead>(k), 0, own};
    if (node->is_table()) {
      Table inner(*node, table.called(kReads[k]), reading);
      r.value = inner.length("value", Range::not_negative(kMost), Need::yes).value_or(0);
      r.error = inner.length("error", Range::positive(kMost)).value_or(own);
      inner.finish();
    } else {
      r.value = read_length(*node, table.called(kReads[k]), Range::not_negative(kMost), reading).value_or(0);
    }
    cut.readings.push_back(r);
  }
  table.finish();
  return cut;
}

}  // namespace

std::vector<TestCut> parse_measured_file(std::string_view text, const std::string& name,
                                         const MeasuredDefaults& defaults) {
  const Node root = parse_toml(text, name);
  Reading reading(name, {});
  Table file(root, "the file of test cuts", reading);
  reading.units = defaults.units;
  if (const auto units = file.choice("units", kUnits)) reading.units = *units == 1 ? Units::inch : Units::mm;
  const double error = file.length("error", Range::positive(kMost)).value_or(defaults.error);
  std::vector<TestCut> cuts;
  if (const auto* list = file.list("cuts", "cuts ([[cuts]] before each)", kMostCuts, Need::yes))
    for (const Node& item : *list) cuts.push_back(read_cut(item, cuts.size() + 1, error, defaults, reading));
  file.finish();
  reading.raise();
  return cuts;
}

std::vector<TestCut> read_measured(const std::filesystem::path& path, const MeasuredDefaults& defaults) {
  return parse_measured_file(read_file(path), path.string(), defaults);
}

}  // namespace ovolo::io
