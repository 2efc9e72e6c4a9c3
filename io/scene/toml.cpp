#include "io/scene/toml.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <array>
#include <cctype>

#include "io/error.hpp"
#include "io/file.hpp"
#include "io/text.hpp"

namespace ovolo::io {
namespace {

constexpr std::size_t kMaxValues = 1'000'000;  // values, keys and lines: a few hundred MB of memory
constexpr int kMaxDots = 64;                   // in one run without a separator: the parser recurses for each
constexpr int kMaxDepth = 32;                  // of lists and tables in each other

[[noreturn]] void fail(const std::string& file, Place at, std::string text) {
  throw SceneError(Source{file, at.line, at.column}, std::move(text));
}

// Refuses what would cost the parser far more memory or stack than the text itself, and what is not UTF-8,
// whose place the parser tells only roughly.
void check_text(std::string_view text, const std::string& file) {
  if (text.size() > kMaxFileBytes)
    fail(file, {}, fmt::format("is larger than {} bytes; leave out what is not needed", kMaxFileBytes));
  std::size_t values = 0;
  int dots = 0;
  Place at{1, 1};
  for (std::size_t i = 0; i < text.size(); ++at.column) {
    const std::size_t length = utf8_character(text.substr(i));
    if (length == 0)
      fail(file, at, "this letter is not UTF-8, as if saved in an old encoding; save the file as UTF-8");
    const char c = text[i];
    i += length;
    if (c == '.' && ++dots > kMaxDots)
      fail(file, at, fmt::format("more than {} dots in one key or text; shorten it", kMaxDots));
    if (c != '\n' && c != ',' && c != '=' && c != '[' && c != '{') continue;
    dots = 0;
    if (++values > kMaxValues)
      fail(file, at,
           fmt::format("more than {} values in one file; leave out what is not needed", kMaxValues));
    if (c == '\n') at = {at.line + 1, 0};
  }
}

Place place(const toml::source_region& source) {
  return {static_cast<int>(source.begin.line), static_cast<int>(source.begin.column)};
}

// What to do about a syntax error, by what the parser calls it. The first that fits.
std::string_view mend(std::string_view what) {
  constexpr std::array<std::pair<std::string_view, std::string_view>, 11> kMends{{
      {"redefine", "two entries have one name: rename or remove one"},
      {"control character", "close the quote on the same line, and leave control characters out"},
      {"saw ','", "write decimals with a point, and each entry on a line of its own"},
      {"saw end-of-file", "close what was opened last: a quote, bracket or brace"},
      {"expected value", "write a value after the `=` sign"},
      {"exceeded maximum nested", "put fewer lists and tables in each other"},
      {"expected a comment or whitespace", "begin the next entry on a new line"},
      {"integer", "write a plain number, and put fractions and other text in double quotes"},
      {"floating-point", "write a plain number, and put text in double quotes"},
      {"boolean", "write true or false, and put other text in double quotes"},
      {"array", "separate the entries with commas, and close the list with ]"},
  }};
  for (const auto& [part, cure] : kMends)
    if (what.find(part) != std::string_view::npos) return cure;
  return "check the quotes, brackets and commas here";
}

// The parser's words, in those of the rest of the messages.
std::string plain(std::string_view what) {
  constexpr std::string_view kOpening = "Error while parsing ";
  constexpr std::array<std::pair<std::string_view, std::string_view>, 5> kWords{
      {{"floating-point:", "number:"},
       {"decimal integer:", "number:"},
       {"key-value pair:", "entry:"},
       {"string:", "text:"},
       {"array:", "list:"}}};
  std::string text = shown(what, 300);
  if (text.starts_with(kOpening)) text.erase(0, kOpening.size());
  for (const auto& [theirs, ours] : kWords)
    if (text.starts_with(theirs)) text.replace(0, theirs.size(), ours);
  return "cannot read this " + text;
}

// Whether a line ends at the place. The text has been checked.
bool line_ends(std::string_view text, Place at) {
  Place here{1, 1};
  while (!text.empty() && here < at) {
    const bool next = text.front() == '\n';
    text.remove_prefix(utf8_character(text));
    here = next ? Place{here.line + 1, 1} : Place{here.line, here.column + 1};
  }
  return text.empty() || text.front() == '\n' || text.front() == '\r';
}

std::string day_of(const toml::date& date) {
  return fmt::format("{:04}-{:02}-{:02}", date.year, int{date.month}, int{date.day});
}

Node convert(const toml::node& from, const std::string& file, int depth) {
  Node node;
  node.at = place(from.source());
  if (depth > kMaxDepth)
    fail(file, node.at,
         fmt::format("lists and tables more than {} deep; put fewer in each other", kMaxDepth));
  from.visit([&](const auto& v) {
    using T = std::decay_t<decltype(v)>;
    if constexpr (std::is_same_v<T, toml::table>) {
      Node::Table entries;
      entries.reserve(v.size());
      for (const auto& [key, value] : v)
        entries.push_back({std::string(key.str()), place(key.source()), convert(value, file, depth + 1)});
      std::stable_sort(entries.begin(), entries.end(),
                       [](const Entry& a, const Entry& b) { return a.at < b.at; });
      node.value = std::move(entries);
    } else if constexpr (std::is_same_v<T, toml::array>) {
      Node::List items;
      items.reserve(v.size());
      for (const toml::node& item : v) items.push_back(convert(item, file, depth + 1));
      node.value = std::move(items);
    } else if constexpr (toml::is_date<T>) {
      node.value = Node::Date{day_of(v.get())};
    } else if constexpr (toml::is_date_time<T>) {
      node.value = Node::Date{day_of(v.get().date)};
    } else if constexpr (toml::is_time<T>) {
      node.value = Node::Date{};
    } else {
      node.value = v.get();
    }
  });
  return node;
}

}  // namespace

Node parse_toml(std::string_view text, const std::string& file) {
  check_text(text, file);
  try {
    return convert(toml::parse(text, std::string_view(file)), file, 0);
  } catch (const toml::parse_error& error) {
    const Place at = place(error.source());
    if (error.description().find("control character") != std::string_view::npos && line_ends(text, at))
      fail(file, at, "this text has no closing quote; close it on the same line");
    fail(file, at, fmt::format("{}; {}", plain(error.description()), mend(error.description())));
  }
}

// A bare key holds letters, digits, _ and - only.
Units units_told(const Node& root) {
  const std::string* units = root.find_text("units");
  return units && *units == "inch" ? Units::inch : Units::mm;
}

std::string toml_key(const std::string& key) {
  const auto plain = [](unsigned char c) { return std::isalnum(c) || c == '_' || c == '-'; };
  if (!key.empty() && std::all_of(key.begin(), key.end(), plain)) return key;
  return toml_text(key);
}

std::string toml_text(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) {
      out += fmt::format("\\u{:04X}", static_cast<unsigned>(c));
      continue;
    }
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out + '"';
}

}  // namespace ovolo::io
