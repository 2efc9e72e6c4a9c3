#pragma once
#include "sim/job.hpp"

namespace ovolo {

/// How far the face along an edge stands at its highest above (`up`) and at its lowest below (`down`) where
/// the program takes it to be, mm: a level pass is at most so much deeper and shallower there than its
/// setting says. up + down >= 0; one is negative where all of the face stands to one side.
struct UnevenFace {
  double up = 0, down = 0;
};

/// Of an operation's contour and its copies, as the sheet lies at the operation's last pass; looked at every
/// millimetre. Nothing on a flat sheet. Throws JobError when the sheet's readings tell no surface.
UnevenFace uneven_face(const Job& job, std::uint32_t operation);

}  // namespace ovolo
