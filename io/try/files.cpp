#include "io/try/files.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <nlohmann/json.hpp>
#include <optional>
#include <stdexcept>

#include "io/drawing/drawing.hpp"
#include "io/file.hpp"
#include "io/json_text.hpp"
#include "io/output_folder.hpp"
#include "io/try/edit.hpp"
#include "sim/error.hpp"

namespace ovolo::io {
namespace {

using Json = nlohmann::ordered_json;
namespace fs = std::filesystem;

std::string refused(const std::string& text) {
  return json_line({{"ok", false}, {"faults", Json::array({{{"path", ""}, {"text", text}}})}});
}

struct Wanted {
  std::string name, text;
  bool over = false;
};

Wanted wanted_file(const std::string& request) {
  const Json json = json_of(request);
  if (!json.is_object() || !json.contains("name") || !json["name"].is_string())
    throw std::invalid_argument("the request has no file name");
  Wanted w;
  w.name = json["name"].get<std::string>();
  if (json.contains("text") && json["text"].is_string()) w.text = json["text"].get<std::string>();
  w.over = json.contains("over") && json["over"].is_boolean() && json["over"].get<bool>();
  return w;
}

std::string ending(const std::string& name) {
  std::string out = fs::path(name).extension().string();
  std::transform(out.begin(), out.end(), out.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return out;
}

// The number behind the first T outside comments; 1 where there is none.
int first_tool(const std::string& program) {
  bool comment = false;
  for (std::size_t i = 0; i < program.size(); ++i) {
    const char c = program[i];
    if (c == '(' || c == ';') comment = true;
    if (c == ')' || c == '\n') comment = false;
    if (comment || (c != 'T' && c != 't')) continue;
    int number = 0;
    const auto read = std::from_chars(program.data() + i + 1, program.data() + program.size(), number);
    if (read.ec == std::errc() && number >= 1 && number <= 99999) return number;
  }
  return 1;
}

// What is wrong, the dropped file called by its name alone.
std::string told_of(const SceneError& error, const Sample& sample, const std::string& name) {
  constexpr std::size_t kMost = 3;
  const std::string path = (sample.folder / name).string();
  std::string out;
  for (std::size_t i = 0; i < error.faults().size() && i < kMost; ++i) {
    std::string text = error.faults()[i].str();
    for (std::size_t at = 0; path != name && (at = text.find(path, at)) != std::string::npos;
         at += name.size())
      text.replace(at, path.size(), name);
    out += (i > 0 ? "; " : "") + text;
  }
  return out;
}

std::string exists(const std::string& name) {
  return json_line({{"ok", false}, {"exists", true}, {"name", name}});
}

}  // namespace

bool plain_name(const std::string& name) {
  if (name.empty() || name.size() > 100 || name.front() == '.' || name.front() == ' ' || name.back() == ' ')
    return false;
  return std::all_of(name.begin(), name.end(), [](unsigned char c) {
    return std::isalnum(c) || c == ' ' || c == '.' || c == '-' || c == '_';
  });
}

std::string save_scene(const Sample& sample, const std::string& request) {
  const Wanted w = wanted_file(request);
  if (!plain_name(w.name) || ending(w.name) != ".toml")
    return refused(
        "a scene's name is letters, digits, dashes and dots, and ends in .toml; write another one");
  EditedScene scene;
  try {
    scene = edited_scene(sample, request);
  } catch (const SceneError& e) {
    return refused(e.what());
  } catch (const EditError& e) {
    return refused(e.what());
  }
  const fs::path path = sample.folder / w.name;
  std::error_code ignored;
  const fs::file_status there = fs::symlink_status(path, ignored);
  if (fs::exists(there) && !fs::is_regular_file(there))
    return refused(fmt::format("'{}' is there and is no plain file; write another name", w.name));
  if (fs::exists(there) && !w.over) return exists(w.name);
  write_file(path, scene.text);
  return json_line(
      {{"ok", true}, {"name", w.name}, {"own_bits", scene.own_bits}, {"bits_file", scene.bits_file}});
}

std::string keep_dropped(const Sample& sample, const std::string& request) {
  const Wanted w = wanted_file(request);
  const std::string kind = ending(w.name);
  const bool drawing = kind == ".svg" || kind == ".dxf";
  constexpr std::array kPrograms{".ngc", ".nc", ".tap", ".cnc", ".gcode"};
  const bool program = std::find(kPrograms.begin(), kPrograms.end(), kind) != kPrograms.end();
  if (!plain_name(w.name) || !(drawing || program))
    return refused(
        "drop a drawing (.svg, .dxf) or a program (.ngc, .nc, .tap, .cnc, .gcode) whose name has letters, "
        "digits, "
        "dashes and dots only");
  Json kept{{"ok", true}, {"name", w.name}};
  if (w.text.empty() || w.text.find('\0') != std::string::npos)
    return refused(fmt::format("'{}' is no text; drop the file as it was written", w.name));
  std::optional<int> tool;
  if (program) kept["tool"] = *(tool = first_tool(w.text));
  try {
    const Edit edit = edit_for_dropped(sample, request, w.name, w.text, tool);
    kept["edit"] = {{"path", edit.path}, {"value", edit.value}};
  } catch (const SceneError& e) {
    return refused(told_of(e, sample, w.name));
  } catch (const EditError& e) {
    return refused(e.what());
  } catch (const JobError& e) {
    return refused(fmt::format("'{}': {}", w.name, e.what()));
  }
  const fs::path path = sample.folder / w.name;
  std::error_code ignored;
  const fs::file_status there = fs::symlink_status(path, ignored);
  if (fs::exists(there)) {
    if (!fs::is_regular_file(there))
      return refused(fmt::format("'{}' is there and is no plain file", w.name));
    if (read_file(path, kLargestDrawing) == w.text) return json_line(kept);
    if (!w.over) return exists(w.name);
  }
  write_file(path, w.text);
  return json_line(kept);
}

}  // namespace ovolo::io
