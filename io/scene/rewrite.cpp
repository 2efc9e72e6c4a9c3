#include "io/scene/rewrite.hpp"

#include <fmt/format.h>

#include "io/error.hpp"
#include "io/length.hpp"
#include "io/scene/node.hpp"
#include "io/scene/text_edits.hpp"
#include "io/scene/toml.hpp"

namespace ovolo::io {
namespace {

constexpr double kLeastPass = 0.01;  // mm: a pass is at least so much deeper than the one before

class Rewriter {
 public:
  Rewriter(std::string_view text, const std::string& name)
      : text_(text), name_(name), root_(parse_toml(text, name)), units_(units_told(root_)), edits_(text) {}

  void set(const NewSetting& s) {
    const Entry* operations = root_.find("operations");
    if (!operations || s.operation >= operations->value.items().size())
      fail(root_.at, "the scene has no such operation");
    const Node& op = operations->value.items()[s.operation];
    const Entry* depth = op.find("depth");
    if (!depth) fail(op.at, "the operation has no depth to change");
    edits_.replace(edits_.extent(depth->value), written(s.depth, depth->value));
    if (const Entry* offset = op.find("offset"))
      edits_.replace(edits_.extent(offset->value), written(s.offset, offset->value));
    else if (s.offset != 0)
      add_offset(*depth, s.offset);
    if (const Entry* passes = op.find("passes"); passes && passes->value.is_list())
      set_passes(passes->value, s.depth);
  }

  std::string result() { return edits_.result(); }

 private:
  [[noreturn]] void fail(Place at, const std::string& what) const {
    throw SceneError({name_, at.line, at.column}, what);
  }

  // On a line of its own where the operation is written in lines, else behind the depth.
  void add_offset(const Entry& depth, double offset) {
    const std::size_t begin = edits_.offset_of(depth.at), line = text_.rfind('\n', begin) + 1;
    const std::string_view before = text_.substr(line, begin - line);
    const std::string value = "offset = " + written(offset, depth.value);
    if (before.find_first_not_of(" \t") == std::string_view::npos)
      edits_.insert(begin, value + "\n" + std::string(before));
    else
      edits_.insert(edits_.extent(depth.value).to, ", " + value);
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

  double value_of(const Node& item) const {
    if (const auto* text = std::get_if<std::string>(&item.value)) return parse_length(*text, units_);
    const auto* whole = std::get_if<std::int64_t>(&item.value);
    const auto* real = std::get_if<double>(&item.value);
    return to_mm(whole ? static_cast<double>(*whole) : real ? *real : 0, units_);
  }

  // The last pass becomes the new depth; earlier ones that are no longer shallower go.
  void set_passes(const Node& passes, double depth) {
    const auto& items = passes.items();
    if (items.empty()) return;
    std::size_t keep = items.size() - 1;
    while (keep > 0 && value_of(items[keep - 1]) > depth - kLeastPass) --keep;
    if (keep == items.size() - 1) {
      edits_.replace(edits_.extent(items.back()), written(depth, items.back()));
      return;
    }
    std::string list = "[";
    for (std::size_t i = 0; i < keep; ++i) list += std::string(edits_.written(items[i])) + ", ";
    edits_.replace(edits_.extent(passes), list + written(depth, items.back()) + "]");
  }

  std::string_view text_;
  const std::string& name_;
  Node root_;
  Units units_ = Units::mm;
  TextEdits edits_;
};

}  // namespace

std::string with_settings(std::string_view scene, const std::string& name,
                          const std::vector<NewSetting>& settings) {
  Rewriter rewriter(scene, name);
  for (const NewSetting& s : settings) rewriter.set(s);
  return rewriter.result();
}

}  // namespace ovolo::io
