#include "io/try/page.hpp"

#include <nlohmann/json.hpp>

#include "io/json_text.hpp"
#include "io/report/page.hpp"
#include "io/report/web.hpp"
#include "sim/text.hpp"

namespace ovolo::io {

std::string try_page(const Sample& sample) {
  std::string scripts;
  for (const char* name :
       {"units.js", "draw.js", "section.js", "along.js", "plan.js", "edge_mesh.js", "solid.js", "measures.js",
        "controls.js", "window.js", "shop.js", "try/feed.js", "try/state.js", "try/fields.js",
        "try/answers.js", "try/whole.js", "try/files.js", "try/page.js"})
    scripts += web_file(name);
  const std::string name = std::filesystem::path(sample.file).filename().string();
  const nlohmann::ordered_json scene = {{"file", name}};
  std::string page(web_file("try/try.html"));
  fill(page, "scripts", scripts);
  fill(page, "three", web_file("three/three.module.min.js"));
  fill(page, "scene", script_data(json_line(scene)));
  fill(page, "style", std::string(web_file("page.css")) + std::string(web_file("try/try.css")));
  fill(page, "title", markup_text(name));
  return page;
}

}  // namespace ovolo::io
