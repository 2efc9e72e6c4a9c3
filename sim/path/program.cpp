#include "sim/path/operations.hpp"

namespace ovolo {
namespace {

MoveRole role_of(const ProgramMotion& motion) {
  if (motion.rapid) return MoveRole::rapid;
  if (motion.z0 == motion.z1) return MoveRole::cut;
  if (motion.path.length() == 0) return MoveRole::plunge;
  return motion.z1 < motion.z0 ? MoveRole::ramp : MoveRole::cut;
}

}  // namespace

void plan_program(const Operation& operation, int index, Route& route) {
  for (const ProgramMotion& motion : operation.program) {
    Move move;
    move.path = motion.path;
    move.z0 = motion.z0;
    move.z1 = motion.z1;
    move.bit = motion.bit;
    move.operation = static_cast<std::uint32_t>(index);
    move.line = motion.line;
    move.role = role_of(motion);
    move.feed = motion.rapid ? 0 : motion.feed;
    move.spindle = motion.spindle_on ? motion.spindle : 0;
    route.raw(move);
  }
}

}  // namespace ovolo
