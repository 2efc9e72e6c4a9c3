#include "io/cli/picture_files.hpp"

#include <cctype>

#include "io/cli/terminal.hpp"
#include "render/png.hpp"
#include "render/raster.hpp"

namespace ovolo::cli {

std::string file_stem(const std::string& name) {
  std::string out;
  for (const char c : name) {
    if (std::isalnum(static_cast<unsigned char>(c)))
      out += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    else if (!out.empty() && out.back() != '-')
      out += '-';
  }
  while (!out.empty() && out.back() == '-') out.pop_back();
  return out.substr(0, 40);
}

PictureFiles drawing_files(const std::string& name, const std::string& drawn, io::InUnits say) {
  const std::string svg = say.sentence(drawn);
  const render::Image image = render::rasterize(svg, 1.5);
  check_interrupt();  // either half takes longer than somebody who pressed Ctrl-C likes to wait
  return {{name + ".svg", svg}, {name + ".png", render::encode_png(image)}};
}

void save_drawing(io::OutputFolder& out, const std::string& name, const std::string& svg, io::InUnits say) {
  for (const auto& [file, bytes] : drawing_files(name, svg, say)) out.write(file, bytes);
}

}  // namespace ovolo::cli
