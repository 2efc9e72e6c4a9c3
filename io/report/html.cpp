#include "io/report/html.hpp"

#include <fmt/format.h>

#include "io/report/page.hpp"
#include "io/report/walk.hpp"
#include "io/report/web.hpp"
#include "sim/text.hpp"

namespace ovolo::io {
namespace {

// As an address that holds the picture itself, to a JSON list's inside; "" for none.
void add_picture(const std::string& bytes, const char* type, std::string& list) {
  list += fmt::format("{}\"{}\"", list.empty() ? "" : ",",
                      bytes.empty() ? "" : fmt::format("data:image/{};base64,{}", type, base64(bytes)));
}

}  // namespace

std::string report_html(const HtmlInput& in) {
  const Job& job = *in.report->job;
  std::vector<std::optional<std::size_t>> shown;
  std::string pictures, windows, loads, marks;
  for (const EdgeView& e : in.edges) {
    shown.push_back(e.station);
    add_picture(e.close_up, "png", pictures);
    add_picture(e.loads, "svg+xml", loads);
    add_picture(e.marks, "svg+xml", marks);
    windows += (windows.empty() ? "" : ",") + (e.window.empty() ? "null" : e.window);
  }
  std::string scripts;
  for (const char* name :
       {"units.js", "draw.js", "section.js", "along.js", "plan.js", "edge_mesh.js", "solid.js", "measures.js",
        "controls.js", "window.js", "shop.js", "sheet.js", "report.js"})
    scripts += web_file(name);

  std::string page(web_file("report.html"));
  // Filled from the last place to the first, so that no text that is filled in is searched.
  fill(page, "scripts", scripts);
  fill(page, "three", web_file("three/three.module.min.js"));
  fill(page, "pictures",
       fmt::format("{{\"close_ups\":[{}],\"loads\":[{}],\"marks\":[{}]}}", pictures, loads, marks));
  fill(page, "windows", script_data("[" + windows + "]"));
  fill(page, "walk", script_data(walk_json(job, *in.plan, *in.index, *in.report->measures, shown)));
  fill(page, "report", script_data(report_json(*in.report)));
  fill(page, "text", markup_text(report_text(*in.report)));
  fill(page, "style", web_file("page.css"));
  fill(page, "title", markup_text(job.title));
  return page;
}

}  // namespace ovolo::io
