#include "tests/render/drawing_check.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdio>
#include <pugixml.hpp>

namespace drawing_check {

using namespace ovolo::render;

std::vector<Text> texts(const std::string& svg) {
  pugi::xml_document document;
  const auto result = document.load_buffer(svg.data(), svg.size());
  INFO(result.description() << " at byte " << result.offset);
  REQUIRE(result.status == pugi::status_ok);
  std::vector<Text> out;
  for (const auto& found : document.select_nodes("//text[not(@aria-hidden)]")) {
    const pugi::xml_node node = found.node();
    TextStyle style;
    style.size = node.attribute("font-size").as_double();
    style.bold = std::string(node.attribute("font-weight").as_string()) == "bold";
    const std::string anchor = node.attribute("text-anchor").as_string();
    style.anchor = anchor == "start" ? Anchor::start : anchor == "middle" ? Anchor::middle : Anchor::end;
    const std::string turn = node.attribute("transform").as_string();
    if (!turn.empty()) REQUIRE(std::sscanf(turn.c_str(), "rotate(%lf", &style.turn) == 1);
    const ovolo::Vec2 at{node.attribute("x").as_double(), node.attribute("y").as_double()};
    const std::string content = node.text().as_string();
    out.push_back({content, style.size, text_box(at, content, style)});
  }
  return out;
}

std::vector<std::string> overlaps(const std::vector<Text>& all) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < all.size(); ++i) {
    for (std::size_t j = i + 1; j < all.size(); ++j) {
      if (all[i].box.grown(-0.5).overlaps(all[j].box.grown(-0.5)))
        out.push_back(all[i].content + " | " + all[j].content);
    }
  }
  return out;
}

std::vector<std::string> outside(const std::vector<Text>& all, double width, double height) {
  std::vector<std::string> out;
  for (const Text& t : all) {
    if (!t.box.inside({{0, 0}, {width, height}})) out.push_back(t.content);
  }
  return out;
}

bool contains(const std::vector<Text>& all, const std::string& part) {
  return std::any_of(all.begin(), all.end(),
                     [&](const Text& t) { return t.content.find(part) != std::string::npos; });
}

double smallest(const std::vector<Text>& all) {
  double size = 1e300;
  for (const Text& t : all) size = std::min(size, t.size);
  return size;
}

}  // namespace drawing_check
