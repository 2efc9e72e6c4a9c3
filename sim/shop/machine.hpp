#pragma once

namespace ovolo {

/// What the router can do. Every default is a guess: read the machine's own settings.
struct Machine {
  double acceleration =
      1000;  ///< mm/s^2 along the path, > 0; a guess (light machines a few hundred, heavy ones more)
  double rapid = 12000;    ///< mm/min, > 0; a guess
  double junction = 0.02;  ///< mm by which the machine may round a corner to keep moving, >= 0; a guess
  double clearance = 5;    ///< mm above the face at which it crosses between cuts; a guess
  double bit_change = 30;  ///< s for each change of bit; a guess
  double runout =
      0.02;  ///< mm, total indicator reading at the cutting edge, >= 0; a guess within 'good' (0.01-0.03)
};

/// Throws JobError, naming the value and its mend, when one cannot be.
void check(const Machine& machine);

}  // namespace ovolo
