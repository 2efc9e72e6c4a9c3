#include "io/try/edit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <filesystem>
#include <span>
#include <variant>

#include "io/length.hpp"
#include "io/scene/text_edits.hpp"
#include "io/scene/toml.hpp"

namespace ovolo::io {
namespace {

constexpr std::size_t kLongestValue = 400;
constexpr std::string_view kBlank = " \t";

std::vector<std::string> parts_of_path(const std::string& path) {
  std::vector<std::string> parts;
  std::size_t from = 0;
  for (;;) {
    const std::size_t end = path.find('/', from);
    parts.push_back(path.substr(from, end - from));
    if (end == std::string::npos) return parts;
    from = end + 1;
  }
}

std::string_view trimmed(std::string_view text) {
  const std::size_t from = text.find_first_not_of(kBlank);
  if (from == std::string_view::npos) return {};
  return text.substr(from, text.find_last_not_of(kBlank) - from + 1);
}

std::string toml_item(std::string_view text) {
  double number = 0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (fault == std::errc() && end == text.data() + text.size() && std::isfinite(number))
    return format_number(number, 6);
  return toml_text(text);
}

// A page may name files beside the scene only, whatever key it sets; a title is never a file.
void refuse_outside(const Edit& edit) {
  if (edit.path == "title" || edit.path.ends_with("/name")) return;
  const std::string_view text = trimmed(edit.value);
  if (text.starts_with('/') || text.starts_with('~') || text.find("..") != std::string_view::npos ||
      text.find('\\') != std::string_view::npos)
    throw EditError(edit.path, "this leads out of the scene's folder; name a file beside the scene");
}

std::string toml_value(const Edit& edit) {
  const std::string_view text = trimmed(edit.value);
  if (text.empty()) throw EditError(edit.path, "nothing is written here; write a value");
  if (text.size() > kLongestValue) throw EditError(edit.path, "this is too long; write a shorter value");
  for (const char c : text)
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f)
      throw EditError(edit.path, "there is a control character in this; write it again");
  if (text.find(',') == std::string_view::npos) return toml_item(text);
  std::string list = "[";
  std::size_t from = 0;
  for (;;) {
    const std::size_t comma = std::min(text.find(',', from), text.size());
    const std::string_view item = trimmed(text.substr(from, comma - from));
    if (item.empty())
      throw EditError(edit.path, "a value is missing beside a comma; write it, or take the comma away");
    list += (from == 0 ? "" : ", ") + toml_item(item);
    if (comma == text.size()) return list + "]";
    from = comma + 1;
  }
}

struct Found {
  const Node* table = nullptr;  // holds the key, or would
  const Node* value = nullptr;  // nullptr: not there
  Place key;
};

Found find(const Node& root, const std::vector<std::string>& parts) {
  Found found{nullptr, &root, {}};
  for (const std::string& part : parts) {
    if (!found.value) return {};
    const Node& node = *found.value;
    if (node.is_list()) {
      std::size_t i = 0;
      const auto [end, fault] = std::from_chars(part.data(), part.data() + part.size(), i);
      const bool is = fault == std::errc() && end == part.data() + part.size() && i < node.items().size();
      found = {&node, is ? &node.items()[i] : nullptr, {}};
    } else {
      const Entry* entry = node.find(part);
      found = {&node, entry ? &entry->value : nullptr, entry ? entry->at : Place{}};
    }
  }
  return found;
}

struct OneReading {
  const Node* item = nullptr;
  const Node* next = nullptr;  // behind it in the list; nullptr for the last of its kind
};

// The readings that bits/ID/WHAT stands among, in their order; none where the bit has it as a plain key.
std::vector<OneReading> readings_of(const Found& found, const std::vector<std::string>& parts) {
  std::vector<OneReading> out;
  if (parts.size() != 3 || parts[0] != "bits" || found.value || !found.table || !found.table->is_table())
    return out;
  const Entry* list = found.table->find("readings");
  if (!list) return out;
  const auto& items = list->value.items();
  for (std::size_t i = 0; i < items.size(); ++i) {
    const std::string* kind = items[i].find_text("what");
    if (kind && *kind == parts[2]) out.push_back({&items[i], i + 1 < items.size() ? &items[i + 1] : nullptr});
  }
  if (!out.empty()) out.back().next = nullptr;
  return out;
}

struct Change {
  TextEdits::Extent what;
  std::string text;
};

class Editor {
 public:
  Editor(std::string_view text, const std::string& file, std::span<const Edit> all)
      : text_(text), places_(text), root_(parse_toml(text, file)), all_(all) {}

  void set(const Edit& edit) {
    refuse_outside(edit);
    const auto parts = parts_of_path(edit.path);
    if (parts.size() == 3 && parts[0] == "contours" && parts[2] == "drawing")
      return set_drawing(edit, parts[1]);
    if (parts.size() == 3 && parts[0] == "operations" && parts[2] == "posted")
      return set_program(edit, parts);
    if (parts.size() == 4 && parts[0] == "operations" && parts[2] == "place" && !find(root_, parts).value &&
        edited(fmt::format("operations/{}/posted", parts[1])))
      return;  // set_program writes it
    put(edit, counted_passes(parts, trimmed(edit.value)), toml_value(edit));
  }

  // The edit of a path; nullptr where there is none.
  const Edit* edited(const std::string& path) const {
    const auto at = std::find_if(all_.begin(), all_.end(), [&](const Edit& e) { return e.path == path; });
    return at == all_.end() ? nullptr : &*at;
  }

  std::string result() {
    // From the end on, so that the places before stay right; of two at one place the first stands first.
    std::stable_sort(changes_.begin(), changes_.end(),
                     [](const Change& a, const Change& b) { return a.what.from > b.what.from; });
    std::string out(text_);
    for (const Change& c : changes_) out.replace(c.what.from, c.what.to - c.what.from, c.text);
    return out;
  }

 private:
  // A bare count changes the count of `passes = { balanced = 2, finish = 0.2 }` and leaves its other keys.
  std::vector<std::string> counted_passes(std::vector<std::string> parts, std::string_view value) const {
    if (parts.size() != 3 || parts[0] != "operations" || parts[2] != "passes" || value.empty() ||
        value.find_first_not_of("0123456789") != std::string_view::npos)
      return parts;
    const Found passes = find(root_, parts);
    if (!passes.value || !passes.value->is_table()) return parts;
    parts.emplace_back(passes.value->find("balanced") ? "balanced" : "count");
    return parts;
  }

  void put(const Edit& edit, const std::vector<std::string>& parts, const std::string& value) {
    const Found found = find(root_, parts);
    if (put_reading(found, parts, value)) return;
    if (found.value) {
      changes_.push_back({places_.extent(*found.value), value});
    } else if (found.table && found.table->is_table()) {
      add(*found.table, edit, parts.back(), value);
    } else {
      throw EditError(edit.path,
                      "the scene's file has no such place (does it stand in a bits file?); change it there");
    }
  }

  // A number that stands among its bit's `readings`: one reading of it takes the place of all of its kind, as
  // sure as the last of them and without a date, for nobody read it.
  bool put_reading(const Found& found, const std::vector<std::string>& parts, const std::string& value) {
    const auto readings = readings_of(found, parts);
    if (readings.empty()) return false;
    const Node& last = *readings.back().item;
    const Entry* error = last.find("error");
    std::string text = fmt::format("{{ what = \"{}\", value = {}", parts.back(), value);
    if (error) text += fmt::format(", error = {}", places_.written(error->value));
    for (const OneReading& r : readings) {
      if (r.next)
        changes_.push_back({{places_.offset_of(r.item->at), places_.offset_of(r.next->at)}, ""});
      else
        changes_.push_back({places_.extent(*r.item), text + " }"});
    }
    return true;
  }

  void add(const Node& table, const Edit& edit, const std::string& key, const std::string& value) {
    const std::size_t at = places_.offset_of(table.at);
    const std::string entry = fmt::format("{} = {}", key, value);
    if (at < text_.size() && text_[at] == '{') {
      changes_.push_back(
          {{at + 1, at + 1}, fmt::format(" {}{}", entry, table.entries().empty() ? " " : ",")});
    } else if (at < text_.size() && text_[at] == '[') {
      const std::size_t end = std::min(text_.find('\n', at), text_.size());
      changes_.push_back({{end, end}, "\n" + entry});
    } else {
      throw EditError(edit.path,
                      fmt::format("`{}` cannot be added here; write it into the scene by hand", key));
    }
  }

  void set_drawing(const Edit& edit, const std::string& id) {
    const Found contour = find(root_, {"contours", id});
    if (!contour.value || !contour.value->is_table())
      throw EditError(edit.path, fmt::format("the scene has no contour '{}'", id));
    const std::string kind = std::filesystem::path(edit.value).extension() == ".dxf" ? "dxf" : "svg";
    constexpr std::array<std::string_view, 9> kShape{"rectangle", "circle", "polyline", "closed", "svg",
                                                     "dxf",       "id",     "layer",    "units"};
    if (!replace_keys(*contour.value, kShape, fmt::format("{} = {}", kind, toml_text(edit.value))))
      throw EditError(edit.path, "this contour has no shape of its own; write the drawing into the scene");
  }

  void set_program(const Edit& edit, const std::vector<std::string>& parts) {
    const Found op = find(root_, {parts[0], parts[1]});
    if (!op.value || !op.value->is_table()) throw EditError(edit.path, "the scene has no such operation");
    const std::size_t comma = std::min(edit.value.find(','), edit.value.size());
    const std::string file(trimmed(std::string_view(edit.value).substr(0, comma)));
    if (file.empty()) throw EditError(edit.path, "no program is named; name its file");
    if (op.value->find("program")) {
      put(edit, {parts[0], parts[1], "program"}, toml_text(file));
      return;
    }
    std::string tool = "1";
    if (comma < edit.value.size()) tool = trimmed(std::string_view(edit.value).substr(comma + 1));
    if (tool.empty() || tool.size() > 5 || tool.find_first_not_of("0123456789") != std::string::npos)
      throw EditError(edit.path, "a tool's number has one to five digits");
    const std::string* id = op.value->find_text("bit");
    const std::size_t at = places_.offset_of(op.value->at);
    if (!id || at >= text_.size() || text_[at] != '[')
      throw EditError(edit.path,
                      "this operation cannot become a program by itself; write it into the scene by hand");
    const auto place = [&](int axis) {
      const Edit* set = edited(fmt::format("operations/{}/place/{}", parts[1], axis));
      return set ? toml_value(*set) : std::string("0");
    };
    constexpr std::array<std::string_view, 17> kFigures{
        "kind",      "offset", "depth",   "passes",  "finish",  "feed",   "plunge_feed", "spindle", "ramp",
        "direction", "start",  "overlap", "lead_in", "overrun", "corner", "stepover",    "tabs"};
    replace_keys(
        *op.value, kFigures,
        fmt::format(
            "kind = \"program\"\nprogram = {}\ntools = {{ {} = {} }}\nplace = [{}, {}]\nzero = \"face\"",
            toml_text(file), tool, toml_text(*id), place(0), place(1)));
  }

  // One text in the place of the first of those keys; the others' lines go. False when none is there.
  bool replace_keys(const Node& table, std::span<const std::string_view> keys, const std::string& by) {
    bool written = false;
    for (const std::string_view key : keys) {
      const Entry* entry = table.find(key);
      if (!entry) continue;
      auto [from, end] = places_.extent(*entry);
      std::string text;
      if (!written) text = by;
      // The rest of the line goes too, unless it holds more than blanks.
      if (written && text_.find_first_not_of(" \t\r", end) == text_.find('\n', end))
        end = std::min(text_.find('\n', end) + 1, text_.size());
      changes_.push_back({{from, end}, text});
      written = true;
    }
    return written;
  }

  std::string_view text_;
  TextEdits places_;
  Node root_;
  std::span<const Edit> all_;
  std::vector<Change> changes_;
};

}  // namespace

std::string edit_scene(std::string_view text, const std::string& file, const std::vector<Edit>& edits) {
  Editor editor(text, file, edits);
  for (const Edit& e : edits) editor.set(e);
  return editor.result();
}

std::vector<EditPlace> edit_places(std::string_view text, const std::string& file,
                                   const std::vector<Edit>& edits) {
  const Node root = parse_toml(text, file);
  std::vector<EditPlace> places;
  for (const Edit& e : edits) {
    const Found found = find(root, parts_of_path(e.path));
    const auto readings = readings_of(found, parts_of_path(e.path));
    const Entry* reading = readings.empty() ? nullptr : readings.back().item->find("value");
    const Node* value = found.value ? found.value : reading ? &reading->value : nullptr;
    EditPlace place;
    if (value) place.value = place.last = value->at;
    if (value && !value->items().empty()) place.last = value->items().back().at;
    if (found.table) place.table = found.table->at;
    places.push_back(place);
  }
  return places;
}

}  // namespace ovolo::io
