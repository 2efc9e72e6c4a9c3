#pragma once
#include <string>

#include "render/image.hpp"
#include "render/solid.hpp"
#include "sim/job.hpp"
#include "sim/measure/edge.hpp"
#include "sim/solid/finished_sheet.hpp"
#include "sim/stock/heightfield.hpp"
#include "sim/stop.hpp"

namespace ovolo::render {

/// Where a close-up is taken from; lengths mm, angles radians.
struct CloseUpView {
  Vec2 point;                   ///< on the contour: the block is cut across the edge here
  Vec2 inward{1, 0};            ///< unit, into the part
  Vec2 target;                  ///< (u, z) in the cut that the picture is centred on
  double field_width = 16;      ///< mm across the picture at the cut
  double azimuth = 0.62;        ///< of the camera from straight along the edge, toward the outside
  double elevation = 0.46;      ///< of the camera above the face
  double sun_azimuth = 1.3;     ///< as the camera's: pi / 2 shines straight at the wall
  double sun_elevation = 0.36;  ///< low: raking light
  int width = 1600, height = 1000;
  bool turned = false;  ///< the sheet lies with its lower face up (a FinishedSheet alone can be shown so)
};

/// A view of the moulded edge at a station that shows all of it with some face and wall around.
CloseUpView close_up_view(const Station& station, const WantedForm& wanted, const Stock& stock);

/// How a close-up is lettered.
struct CloseUpLetters {
  enum class Units { both, both_inch_first, mm, inch };
  double size = 0;            ///< px of the main letters; 0: 26 for every 1600 px of width
  Units units = Units::both;  ///< short labels for a narrow picture speak one
};

/// What a close-up shows. The references must outlive the call only.
struct CloseUp {
  const Heightfield&
      field;           ///< of the finished sheet, carved over `close_up_window` with about `close_up_cell`
  const Stock& stock;  ///< as it lies
  const Contour& contour;  ///< where it stands on the sheet (shifted to the copy)
  Keep keep = Keep::inside;
  CloseUpView view;
  std::string title;                          ///< the operation's name; empty for none
  const SectionMeasures* measures = nullptr;  ///< of the station; nullptr leaves the labels away
  bool labels = true;                         ///< title, scale bar and dimensions
  const FinishedSheet* sheet = nullptr;       ///< drawn instead of the field where no heightfield holds it
  StopCheck stop = {};
  CloseUpLetters letters = {};
  bool arris = false;  ///< the form leaves a corner at the face: told by the angle of the material
};

/// The part of the sheet that a close-up looks at, mm.
Box2 close_up_window(const CloseUpView& view, const Stock& stock);
/// A cell size fine enough that no cell shows, mm.
double close_up_cell(const CloseUpView& view);

/// The finished edge in perspective, cut across in front so that the layers show, lit from the side: soft sun
/// shadow, sky light shaded by what stands around, layers in their colours and grain. Ray-cast; the same
/// pixels for any number of threads. Whatever `stop` throws ends it.
Image draw_close_up(const CloseUp& picture);

}  // namespace ovolo::render
