# Writes OUT, a C++ source that holds the FILES (paths relative to ROOT) as texts.
#   cmake -DROOT=dir -DOUT=file.cpp "-DFILES=a.js;b.css" -P embed.cmake
set(entries "")
foreach(name IN LISTS FILES)
  file(READ "${ROOT}/${name}" text)
  string(APPEND entries "    Entry{\"${name}\", R\"embedded(" "${text}" ")embedded\"sv},\n")
endforeach()
file(WRITE "${OUT}" "#include \"io/report/web.hpp\"

#include <stdexcept>
#include <string>

namespace ovolo::io {
namespace {

using namespace std::string_view_literals;

struct Entry {
  std::string_view name, text;
};

constexpr Entry kFiles[] = {
" "${entries}" "};

}  // namespace

std::string_view web_file(std::string_view name) {
  for (const Entry& e : kFiles)
    if (e.name == name) return e.text;
  throw std::logic_error(\"no page file '\" + std::string(name) + \"'\");
}

}  // namespace ovolo::io
")
