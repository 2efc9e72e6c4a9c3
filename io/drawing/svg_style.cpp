#include "io/drawing/svg_style.hpp"

#include <algorithm>
#include <array>
#include <cctype>

#include "io/drawing/scan.hpp"
#include "io/text.hpp"

namespace ovolo::io {
namespace {

constexpr std::string_view kBlank = " \t\r\n\f";
constexpr std::size_t kMostRules = 500;  // that place, size or hide

std::string_view trimmed(std::string_view text) {
  const std::size_t from = text.find_first_not_of(kBlank);
  if (from == std::string_view::npos) return {};
  return text.substr(from, text.find_last_not_of(kBlank) - from + 1);
}

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return out;
}

/// Comments become blanks, so that places stay.
std::string without_comments(std::string_view text) {
  std::string out(text);
  for (std::size_t from = out.find("/*"); from != std::string::npos; from = out.find("/*", from)) {
    const std::size_t end = out.find("*/", from + 2);
    const std::size_t to = end == std::string::npos ? out.size() : end + 2;
    std::fill(out.begin() + static_cast<std::ptrdiff_t>(from), out.begin() + static_cast<std::ptrdiff_t>(to),
              ' ');
  }
  return out;
}

bool word_letter(char c) {
  return std::isalnum(static_cast<unsigned char>(c)) || c == '-' || c == '_' || (c & 0x80) != 0;
}

bool has_word(std::string_view words, std::string_view word) {
  for (std::size_t at = words.find_first_not_of(kBlank); at != std::string_view::npos;
       at = words.find_first_not_of(kBlank, at)) {
    const std::size_t end = std::min(words.find_first_of(kBlank, at), words.size());
    if (words.substr(at, end - at) == word) return true;
    at = end;
  }
  return false;
}

/// The end of a block whose opening brace stands before `at`.
std::size_t block_end(std::string_view text, std::size_t at) {
  for (int depth = 1; at < text.size(); ++at) {
    if (text[at] == '{') ++depth;
    if (text[at] == '}' && --depth == 0) return at;
  }
  return text.size();
}

template <std::size_t n>
bool one_of(const std::array<std::string_view, n>& list, std::string_view word) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

}  // namespace

bool places_shapes(std::string_view property) {
  static constexpr std::array<std::string_view, 6> kList{
      "transform", "transform-origin", "translate", "rotate", "scale", "offset-path"};
  return one_of(kList, property);
}

bool sizes_shapes(std::string_view property) {
  static constexpr std::array<std::string_view, 10> kList{"d", "x",  "y",  "cx",    "cy",
                                                          "r", "rx", "ry", "width", "height"};
  return one_of(kList, property);
}

bool hides_shapes(std::string_view property) { return property == "display" || property == "visibility"; }

std::vector<Declaration> declarations(std::string_view text, std::size_t at) {
  std::vector<Declaration> out;
  const std::string clean = without_comments(text);
  for (std::size_t from = 0; from < clean.size();) {
    const std::size_t end = std::min(clean.find(';', from), clean.size());
    const std::string_view one = std::string_view(clean).substr(from, end - from);
    const std::size_t colon = one.find(':'), name = one.find_first_not_of(kBlank);
    if (colon != std::string_view::npos && name < colon) {
      Declaration d;
      d.name = lower(trimmed(one.substr(0, colon)));
      d.value = lower(trimmed(one.substr(colon + 1)));
      d.at = at + from + name;
      if (const std::size_t mark = d.value.find('!'); mark != std::string::npos) {
        d.important = true;
        d.value = trimmed(std::string_view(d.value).substr(0, mark));
      }
      const auto same = [&](const Declaration& other) { return other.name == d.name; };
      const auto before = std::find_if(out.begin(), out.end(), same);
      if (before == out.end()) {
        if (places_shapes(d.name) || sizes_shapes(d.name) || hides_shapes(d.name))
          out.push_back(std::move(d));
      } else if (d.important || !before->important) {
        *before = std::move(d);
      }
    }
    from = end + 1;
  }
  return out;
}

bool StyleSheet::Selector::meets(const StyledElement& e) const {
  return (name.empty() || name == e.name) &&
         std::all_of(ids.begin(), ids.end(), [&](const std::string& id) { return id == e.id; }) &&
         std::all_of(classes.begin(), classes.end(),
                     [&](const std::string& c) { return has_word(e.classes, c); });
}

std::optional<StyleSheet::Selector> StyleSheet::selector(std::string_view text) {
  Selector out;
  std::size_t at = 0;
  const auto word = [&] {
    const std::size_t from = at;
    while (at < text.size() && word_letter(text[at])) ++at;
    return std::string(text.substr(from, at - from));
  };
  if (text.empty()) return std::nullopt;
  if (text[0] == '*')
    ++at;
  else
    out.name = word();
  while (at < text.size()) {
    const char kind = text[at++];
    if (kind != '.' && kind != '#') return std::nullopt;
    (kind == '.' ? out.classes : out.ids).push_back(word());
    if ((kind == '.' ? out.classes : out.ids).back().empty()) return std::nullopt;
  }
  return out;
}

void StyleSheet::add(std::string_view text, std::size_t start) {
  const std::string clean = without_comments(text);
  const std::string_view all = clean;
  for (std::size_t at = all.find_first_not_of(kBlank); at < all.size();
       at = all.find_first_not_of(kBlank, at)) {
    const std::size_t brace = std::min(all.find('{', at), all.size());
    if (all[at] == '@') {
      const std::size_t semicolon = all.find(';', at);
      at = semicolon < brace ? semicolon + 1 : std::min(block_end(all, brace + 1) + 1, all.size());
      ++left_out_;
      continue;
    }
    if (brace == all.size()) return;
    const std::size_t end = block_end(all, brace + 1);
    const std::vector<Declaration> declared =
        declarations(all.substr(brace + 1, end - brace - 1), start + brace + 1);
    std::string_view list = declared.empty() ? std::string_view() : all.substr(at, brace - at);
    while (!list.empty()) {
      const std::size_t comma = std::min(list.find(','), list.size());
      const std::string_view one = trimmed(list.substr(0, comma));
      list.remove_prefix(std::min(comma + 1, list.size()));
      const std::optional<Selector> read = selector(one);
      const Declaration& first = declared.front();
      if (!read)
        throw ScanError(first.at,
                        "'" + first.name + "' is set by a rule for '" + shown(one) +
                            "': only an element's name, #id and .class are read there; set it on the "
                            "elements themselves");
      count_ += declared.size();
      if (count_ > kMostRules)
        throw ScanError(first.at,
                        "more than 500 rules of CSS hide or place shapes: set it on the elements "
                        "themselves");
      const std::size_t named = !read->name.empty();
      const std::size_t weight = read->ids.size() * 1000000 + read->classes.size() * 1000 + named;
      for (const Declaration& d : declared) rules_[d.name].push_back({*read, weight, d});
    }
    at = std::min(end + 1, all.size());
  }
}

std::vector<Declaration> StyleSheet::declared(const StyledElement& element) const {
  std::vector<Declaration> out;
  for (const auto& [property, rules] : rules_) {
    const Rule* best = nullptr;
    for (const Rule& rule : rules) {
      const bool differ = best && best->declared.important != rule.declared.important;
      const bool wins = !best || (differ ? rule.declared.important : rule.weight >= best->weight);
      if (wins && rule.selector.meets(element)) best = &rule;
    }
    if (best) out.push_back(best->declared);
  }
  return out;
}

}  // namespace ovolo::io
