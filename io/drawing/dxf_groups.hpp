#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace ovolo::io {

/// One group of a DXF file: a code, its value with blanks trimmed, and the line the value stands on.
struct DxfGroup {
  int code = 0;
  std::string_view value;
  int line = 0;
  int column = 1;
};

/// The groups of an ASCII DXF file; comments (999) are left out. The text must outlive them. Throws
/// DrawingError on a binary file, a code that is no number, or a file that ends within a group.
std::vector<DxfGroup> dxf_groups(std::string_view text, const std::string& file);

/// A group's value as a finite number or a whole one. Throw DrawingError saying what was found instead.
double dxf_number(const DxfGroup& group, const std::string& file);
int dxf_whole(const DxfGroup& group, const std::string& file);

}  // namespace ovolo::io
