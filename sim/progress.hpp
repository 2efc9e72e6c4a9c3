#pragma once
#include <string_view>

namespace ovolo {

/// Told how far a long computation is; may throw Interrupted to end it cleanly. Called from one thread only.
class Progress {
 public:
  virtual ~Progress() = default;
  /// done in [0, 1].
  virtual void report(std::string_view what, double done) = 0;
};

}  // namespace ovolo
