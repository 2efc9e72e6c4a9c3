#pragma once
/// The pictures' entry points, for the command line and the reports.
///
///   draw_section, draw_along,
///   draw_marks, draw_loads          SVG documents; `rasterize` turns them into pixels
///   draw_compare                    pixels
///   draw_top, draw_close_up         pixels
///   write_png, write_whole          files, whole or not at all
///   worst_station, typical_station  which stations to show
#include "render/along_plot.hpp"
#include "render/close_up.hpp"
#include "render/compare_picture.hpp"
#include "render/loads_plot.hpp"
#include "render/marks_plot.hpp"
#include "render/png.hpp"
#include "render/raster.hpp"
#include "render/section_plot.hpp"
#include "render/top_view.hpp"
#include "render/worst.hpp"
