#include "io/scene/rewrite.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "io/error.hpp"
#include "io/length.hpp"
#include "io/scene/node.hpp"
#include "io/scene/toml.hpp"
#include "io/text.hpp"

namespace ovolo::io {
namespace {

struct Edit {
  std::size_t from, to;
  std::string text;
};

class Rewriter {
 public:
  Rewriter(std::string_view text, const std::string& name)
      : text_(text), name_(name), root_(parse_toml(text, name)) {
    if (const Entry* units = root_.find("units"))
      if (const auto* word = std::get_if<std::string>(&units->value.value); word && *word == "inch")
        units_ = Units::inch;
  }

  void set(const NewSetting& s) {
    const Entry* operations = root_.find("operations");
    if (!operations || s.operation >= operations->value.items().size())
      fail(root_.at, "the scene has no such operation");
    const Node& op = operations->value.items()[s.operation];
    const Entry* depth = op.find("depth");
    if (!depth) fail(op.at, "the operation has no depth to change");
    const auto [from, to] = extent(depth->value);
    edits_.push_back({from, to, written(s.depth, depth->value)});
    if (const Entry* offset = op.find("offset")) {
      const auto [a, b] = extent(offset->value);
      edits_.push_back({a, b, written(s.offset, offset->value)});
    } else if (s.offset != 0) {
      // On a line of its own where the operation is written in lines, else behind the depth.
      const std::size_t begin = offset_of(depth->at), line = text_.rfind('\n', begin) + 1;
      const bool own_line =
          text_.substr(line, begin - line).find_first_not_of(" \t") == std::string_view::npos;
      const std::string value = "offset = " + written(s.offset, depth->value);
      if (own_line)
        edits_.push_back({begin, begin, value + "\n" + std::string(text_.substr(line, begin - line))});
      else
        edits_.push_back({to, to, ", " + value});
    }
    if (const Entry* passes = op.find("passes"); passes && passes->value.is_list())
      set_passes(passes->value, s.depth);
  }

  std::string result() {
    std::sort(edits_.begin(), edits_.end(), [](const Edit& a, const Edit& b) { return a.from < b.from; });
    std::string out;
    std::size_t at = 0;
    for (const Edit& e : edits_) {
      out += text_.substr(at, e.from - at);
      out += e.text;
      at = e.to;
      // A comment behind it stays in its column as far as the blanks before it allow.
      const std::size_t hash = text_.find_first_not_of(' ', at);
      if (hash == std::string_view::npos || text_[hash] != '#' || e.from == e.to) continue;
      const std::size_t before = e.to - e.from, blanks = hash - at;
      if (e.text.size() > before)
        at += std::min(e.text.size() - before, blanks > 0 ? blanks - 1 : 0);
      else
        out.append(before - e.text.size(), ' ');
    }
    out += text_.substr(at);
    return out;
  }

 private:
  [[noreturn]] void fail(Place at, const std::string& what) const {
    throw SceneError({name_, at.line, at.column}, what);
  }

  // Byte of a place; columns count characters.
  std::size_t offset_of(Place place) const {
    std::size_t at = 0;
    for (int line = 1; line < place.line; ++line) {
      at = text_.find('\n', at);
      if (at == std::string_view::npos) return text_.size();
      ++at;
    }
    for (int column = 1; column < place.column && at < text_.size(); ++column)
      at += std::max<std::size_t>(1, utf8_character(text_.substr(at)));
    return at;
  }

  // First and last byte of a number, a text or a list as it is written.
  std::pair<std::size_t, std::size_t> extent(const Node& node) const {
    const std::size_t from = offset_of(node.at);
    return {from, end_of(from)};
  }
  std::size_t end_of(std::size_t at) const {
    if (at >= text_.size()) return at;
    const char c = text_[at];
    if (c == '"' || c == '\'') return end_of_text(at);
    if (c == '[') {
      for (++at; at < text_.size() && text_[at] != ']';) {
        if (text_[at] == '#')
          at = std::min(text_.find('\n', at), text_.size());
        else if (text_[at] == '"' || text_[at] == '\'' || text_[at] == '[')
          at = end_of(at);
        else
          ++at;
      }
      return std::min(at + 1, text_.size());
    }
    return std::min(text_.find_first_of(",]}# \t\r\n", at), text_.size());
  }
  std::size_t end_of_text(std::size_t at) const {
    const char quote = text_[at];
    for (++at; at < text_.size() && text_[at] != quote; ++at)
      if (text_[at] == '\\' && quote == '"') ++at;
    return std::min(at + 1, text_.size());
  }

  // The length in the manner of what stood there.
  std::string written(double mm, const Node& like) const {
    const auto* text = std::get_if<std::string>(&like.value);
    if (!text) return units_ == Units::inch ? format_number(mm / kInch, 4) : format_number(mm, 3);
    const auto ends = [&](std::string_view unit) {
      return text->size() > unit.size() && text->ends_with(unit);
    };
    if (ends("thou")) return fmt::format("\"{} thou\"", format_number(mm / kInch * 1000, 1));
    if (ends("in") || ends("inch") || ends("\""))
      return fmt::format("\"{} in\"", format_number(mm / kInch, 4));
    return fmt::format("\"{} mm\"", format_number(mm, 3));
  }

  void set_passes(const Node& passes, double depth) {
    const auto& items = passes.items();
    const auto value = [&](const Node& item) {
      if (const auto* text = std::get_if<std::string>(&item.value)) return parse_length(*text, units_);
      const auto* whole = std::get_if<std::int64_t>(&item.value);
      const auto* real = std::get_if<double>(&item.value);
      return to_mm(whole ? static_cast<double>(*whole) : real ? *real : 0, units_);
    };
    const auto [from, to] = extent(passes);
    if (items.empty()) return;
    // The last pass becomes the new depth; earlier ones that are no longer shallower go.
    std::size_t keep = items.size() - 1;
    while (keep > 0 && value(items[keep - 1]) > depth - kLeastPass) --keep;
    if (keep == items.size() - 1) {
      const auto [a, b] = extent(items.back());
      edits_.push_back({a, b, written(depth, items.back())});
      return;
    }
    std::string list = "[";
    for (std::size_t i = 0; i < keep; ++i) {
      const auto [a, b] = extent(items[i]);
      list += std::string(text_.substr(a, b - a)) + ", ";
    }
    edits_.push_back({from, to, list + written(depth, items.back()) + "]"});
  }

  static constexpr double kLeastPass = 0.01;  // mm: a pass is at least so much deeper than the one before

  std::string_view text_;
  const std::string& name_;
  Node root_;
  Units units_ = Units::mm;
  std::vector<Edit> edits_;
};

}  // namespace

std::string with_settings(std::string_view scene, const std::string& name,
                          const std::vector<NewSetting>& settings) {
  Rewriter rewriter(scene, name);
  for (const NewSetting& s : settings) rewriter.set(s);
  return rewriter.result();
}

}  // namespace ovolo::io
