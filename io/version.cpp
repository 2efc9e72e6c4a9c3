#include "io/version.hpp"

namespace ovolo::io {

std::string version() { return OVOLO_VERSION; }

}  // namespace ovolo::io
