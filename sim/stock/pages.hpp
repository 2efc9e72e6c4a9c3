#pragma once
#include <cstddef>
#include <memory>

namespace ovolo {

/// Zeroed, page-aligned floats straight from the system, which gets them back when the last owner goes. The
/// system gives each page its memory when it is first written. Throws std::bad_alloc.
std::shared_ptr<float[]> zeroed_pages(std::size_t count);

}  // namespace ovolo
