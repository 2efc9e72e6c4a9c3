#pragma once
#include <optional>
#include <vector>

#include "sim/advise/dial.hpp"

namespace ovolo {

/// Depth against offset of one edge operation: which wish breaks where, and how likely an edge is within all
/// of them. Points are (offset, depth), mm.
struct DialMap {
  double depth_lo = 0, depth_hi = 0, offset_lo = 0, offset_hi = 0;  ///< what is shown
  /// Within each wish by itself; what the depth decides, and what the offset decides.
  std::vector<Span> lip, face_break, band, wall_break;
  std::vector<Vec2>
      hidden;             ///< rising offset: deeper than this a hidden layer shows; empty when none is hidden
  std::vector<Vec2> cut;  ///< rising offset: no deeper than this the bit does not reach the part
  double no_foot = 0;     ///< further in than this offset the surface has no foot on the wall
  struct Contour {
    double chance = 0;  ///< of an edge within all wishes
    std::vector<std::vector<Vec2>> lines;
  };
  std::vector<Contour> contours;
  Wishes wishes;
  std::string hidden_layer;                       ///< name of the shallowest one
  double own_face_break = 0, own_wall_break = 0;  ///< that the wanted form has of its own
  double depth_now = 0, offset_now = 0;           ///< the scene's own setting
};

/// The map about a dialled edge. Limits of the wishes are exact; contours are interpolated on a grid of
/// `grid` x `grid` chances. Throws JobError where there is nothing to dial.
DialMap make_dial_map(const Job& job, const DialedEdge& dialed, const SettingErrors& errors, int grid = 50);

}  // namespace ovolo
