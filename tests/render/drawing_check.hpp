#pragma once
#include <string>
#include <vector>

#include "render/canvas.hpp"

namespace drawing_check {

struct Text {
  std::string content;
  double size = 0;
  ovolo::render::PixelBox box;
};

/// Every text of an SVG document (halos left away) with the box it takes; fails the test when the document is
/// not well-formed.
std::vector<Text> texts(const std::string& svg);
/// Pairs of texts that cover one another, as "a | b".
std::vector<std::string> overlaps(const std::vector<Text>& all);
/// Texts that reach beyond the drawing, `width` x `height` px.
std::vector<std::string> outside(const std::vector<Text>& all, double width, double height);
bool contains(const std::vector<Text>& all, const std::string& part);
double smallest(const std::vector<Text>& all);

}  // namespace drawing_check
