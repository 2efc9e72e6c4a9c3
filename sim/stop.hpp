#pragma once
#include <functional>

namespace ovolo {

/// Asked every few milliseconds of a long work, from any of its threads; throws Interrupted to end it. Empty:
/// nothing ends it early.
using StopCheck = std::function<void()>;

}  // namespace ovolo
