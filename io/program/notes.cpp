#include "io/program/notes.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace ovolo::io {

void RemarkLog::add(std::string_view code, std::string_view text, LineColumn at) {
  auto found =
      std::find_if(remarks_.begin(), remarks_.end(), [&](const Remark& r) { return r.code == code; });
  if (found == remarks_.end()) {
    remarks_.push_back({std::string(code), std::string(text), at, at.line, 1});
    return;
  }
  if (found->last != at.line) ++found->times;
  found->last = at.line;
}

std::vector<Warning> RemarkLog::warnings(const std::string& file) const {
  std::vector<Warning> out;
  for (const Remark& r : remarks_) {
    Warning w;
    w.code = r.code;
    w.text = r.times == 1
                 ? fmt::format("{} (line {})", r.text, r.first.line)
                 : fmt::format("{} ({} lines, from {} to {})", r.text, r.times, r.first.line, r.last);
    w.source = {file, r.first.line, r.first.column};
    out.push_back(std::move(w));
  }
  return out;
}

}  // namespace ovolo::io
