#pragma once
#include "render/camera.hpp"
#include "render/close_up.hpp"

namespace ovolo::render {

/// The camera of a view, in the edge's frame.
Camera close_up_camera(const CloseUpView& view);
/// The block a view looks at, in the edge's frame.
Box2 frame_window(const CloseUpView& view, const Stock& stock);

/// Title, scale bar and dimensions of a close-up as a transparent SVG drawing of the picture's size.
std::string close_up_drawing(const CloseUp& picture);
/// The same as pixels.
Image close_up_labels(const CloseUp& picture);

}  // namespace ovolo::render
