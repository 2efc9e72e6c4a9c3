#include "render/raster.hpp"

#include <fmt/format.h>
#include <librsvg/rsvg.h>

#include <cmath>
#include <cstring>
#include <memory>
#include <stdexcept>

namespace ovolo::render {

namespace {

constexpr double kLargest = 30000;

struct Release {
  void operator()(RsvgHandle* p) const { g_object_unref(p); }
  void operator()(cairo_surface_t* p) const { cairo_surface_destroy(p); }
  void operator()(cairo_t* p) const { cairo_destroy(p); }
};
using Handle = std::unique_ptr<RsvgHandle, Release>;
using Surface = std::unique_ptr<cairo_surface_t, Release>;
using Pen = std::unique_ptr<cairo_t, Release>;

[[noreturn]] void fail(GError* error) {
  const std::string what = error != nullptr ? error->message : "unknown reason";
  if (error != nullptr) g_error_free(error);
  throw std::runtime_error("the drawing cannot be turned into pixels: " + what);
}

}  // namespace

Image rasterize(const std::string& svg, double scale) {
  GError* error = nullptr;
  const Handle handle(
      rsvg_handle_new_from_data(reinterpret_cast<const guint8*>(svg.data()), svg.size(), &error));
  if (!handle) fail(error);
  double width = 0, height = 0;
  if (rsvg_handle_get_intrinsic_size_in_pixels(handle.get(), &width, &height) == FALSE) {
    throw std::runtime_error("the drawing cannot be turned into pixels: it states no size");
  }
  width = std::round(width * scale);
  height = std::round(height * scale);
  if (!(width >= 1 && width <= kLargest && height >= 1 && height <= kLargest)) {
    throw std::runtime_error(
        fmt::format("a picture of {:.0f} x {:.0f} pixels cannot be made: keep each side to {:.0f}", width,
                    height, kLargest));
  }
  Image image(static_cast<int>(width), static_cast<int>(height));
  // Drawn in the picture's own memory.
  const Surface surface(cairo_image_surface_create_for_data(image.rgba.data(), CAIRO_FORMAT_ARGB32,
                                                            image.width, image.height, 4 * image.width));
  const Pen pen(cairo_create(surface.get()));
  const RsvgRectangle viewport{0, 0, width, height};
  if (rsvg_handle_render_document(handle.get(), pen.get(), &viewport, &error) == FALSE) fail(error);
  if (cairo_surface_status(surface.get()) != CAIRO_STATUS_SUCCESS) {
    throw std::runtime_error("the drawing cannot be turned into pixels: out of memory");
  }
  cairo_surface_flush(surface.get());
  for (std::size_t i = 0; i < image.rgba.size(); i += 4) {
    std::uint8_t* p = &image.rgba[i];
    std::uint32_t argb = 0;  // premultiplied, in the machine's byte order
    std::memcpy(&argb, p, 4);
    const std::uint32_t alpha = argb >> 24;
    for (int c = 0; c < 3; ++c) {
      const std::uint32_t v = (argb >> (16 - 8 * c)) & 255U;
      p[c] = static_cast<std::uint8_t>(alpha == 255 ? v : alpha == 0 ? 0 : (v * 255 + alpha / 2) / alpha);
    }
    p[3] = static_cast<std::uint8_t>(alpha);
  }
  return image;
}

double text_width(const std::string& text, double size, bool bold) {
  const Surface surface(cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1));
  const Pen pen(cairo_create(surface.get()));
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_set_font_options(pen.get(), options);
  cairo_font_options_destroy(options);
  cairo_select_font_face(pen.get(), kFontFamily, CAIRO_FONT_SLANT_NORMAL,
                         bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size(pen.get(), size);
  cairo_text_extents_t extents{};
  cairo_text_extents(pen.get(), text.c_str(), &extents);
  return extents.x_advance;
}

}  // namespace ovolo::render
