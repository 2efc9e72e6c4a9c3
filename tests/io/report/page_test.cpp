// The pages' building blocks, and what report.html carries.
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <string>

#include "io/report/page.hpp"
#include "io/report/web.hpp"
#include "sim/text.hpp"
#include "tests/support/command.hpp"
#include "tests/support/sign_rim.hpp"

using namespace ovolo::tests;
namespace io = ovolo::io;
using Json = nlohmann::json;

namespace {

// What stands inside the element with that id.
std::string inside(const std::string& page, const std::string& id) {
  const std::size_t at = page.find("id=\"" + id + "\"");
  REQUIRE(at != std::string::npos);
  const std::size_t from = page.find('>', at) + 1;
  return page.substr(from, page.find("</script>", from) - from);
}

const std::string kScene = R"(title = "A </script><b>sign</b> & more"
[stock]
size = [400, 250]
layers = [ { name = "</script><i>cap", thickness = 3, color = "#1f4e3d" }, { name = "core", thickness = 9, color = "#f2ead7" } ]
[bits.round5]
form = "point_roundover"
radius = 5
working_depth = 3.62
)" + ovolo::test::sign_rim() +
                           R"(offset = 0
depth = 5
feed = 1500
spindle = 18000
)";

}  // namespace

// Source: RFC 4648, section 10.
TEST_CASE("base64 gives the standard's examples", "[page]") {
  CHECK(io::base64("") == "");
  CHECK(io::base64("f") == "Zg==");
  CHECK(io::base64("fo") == "Zm8=");
  CHECK(io::base64("foo") == "Zm9v");
  CHECK(io::base64("foob") == "Zm9vYg==");
  CHECK(io::base64("fooba") == "Zm9vYmE=");
  CHECK(io::base64("foobar") == "Zm9vYmFy");
  CHECK(io::base64(std::string("\xff\x00\xfe", 3)) == "/wD+");
}

TEST_CASE("text and data cannot leave their element", "[page]") {
  CHECK(ovolo::markup_text("<a href=\"x\">'&'</a>") ==
        "&lt;a href=&quot;x&quot;&gt;&#39;&amp;&#39;&lt;/a&gt;");
  const std::string data = io::script_data(R"(["</script><!--"])");
  CHECK(data.find('<') == std::string::npos);
  CHECK(Json::parse(data) == Json::parse(R"(["</script><!--"])"));
}

TEST_CASE("a template's place is filled once, and a missing one is a fault", "[page]") {
  std::string page = "a @b@ c @b@";
  io::fill(page, "b", "@b@x");
  CHECK(page == "a @b@x c @b@");
  CHECK_THROWS_AS(io::fill(page, "nothing", ""), std::logic_error);
  CHECK_THROWS_AS(io::web_file("nothing.js"), std::logic_error);
}

TEST_CASE("report.html carries the report, the exact sections and the pictures", "[page][cli]") {
  const TemporaryFolder folder;
  write_text(folder.path() / "scene.toml", kScene);
  const Ran ran = run_ovolo("cut scene.toml --out out --cell 0.5", folder.path());
  INFO(ran.err);
  REQUIRE(ran.code == 0);
  const std::string page = read_text(folder.path() / "out" / "report.html");
  CHECK(page.find("<title>A &lt;/script&gt;&lt;b&gt;sign&lt;/b&gt; &amp; more - edge report</title>") !=
        std::string::npos);

  CHECK(Json::parse(inside(page, "data-report")) ==
        Json::parse(read_text(folder.path() / "out" / "report.json")));
  const Json pictures = Json::parse(inside(page, "data-pictures"));
  REQUIRE(pictures.at("close_ups").size() == 1);
  // The first bytes of a PNG: 89 50 4E 47 0D 0A (ISO/IEC 15948).
  CHECK(pictures.at("close_ups")[0].get<std::string>().starts_with("data:image/png;base64,iVBORw0K"));
  // The very drawings that stand beside the report; "" where a scene has none.
  for (const char* which : {"loads", "marks"}) {
    INFO(which);
    REQUIRE(pictures.at(which).size() == 1);
    std::string beside;
    for (const auto& file : std::filesystem::directory_iterator(folder.path() / "out"))
      if (file.path().filename().string().ends_with(std::string("-") + which + ".svg"))
        beside = read_text(file.path());
    CHECK(pictures.at(which)[0] == (beside.empty() ? "" : "data:image/svg+xml;base64," + io::base64(beside)));
  }

  const Json walk = Json::parse(inside(page, "data-walk"));
  CHECK(walk.at("settings").at("layers").at(0).at("name") == "</script><i>cap");
  const Json& edge = walk.at("walk").at(0);
  CHECK(edge.at("left") == true);
  CHECK(edge.at("length").get<double>() == Approx(934.2478).margin(1e-4));
  const Json& columns = edge.at("columns");
  const auto column = [&](const Json& row, const char* name) {
    for (std::size_t i = 0; i < columns.size(); ++i)
      if (columns[i] == name) return row[i];
    return Json();
  };
  const Json& shown = edge.at("stations").at(edge.at("shown").get<std::size_t>());
  // Closed forms: R 5, W 3.62 give a = 0.1942; depth 5, offset 0.
  CHECK(column(shown, "lip").get<double>() == Approx(1.38).margin(1e-4));
  CHECK(column(shown, "band").get<double>() == Approx(0.1942).margin(1e-4));
  // The section: band, curve, lip, face, joined end to end.
  const Json& pieces = edge.at("sections").at(column(shown, "section").get<std::size_t>());
  REQUIRE(pieces.size() == 4);
  // R - sqrt(R^2 - (R - W)^2), to the 0.01 um that the page keeps.
  CHECK(pieces[0] == Json::parse("[0, 0.0, -5.0, 0.19421, -5.0]"));
  CHECK(pieces[1][0] == 1);
  CHECK(pieces[1][7].get<double>() == Approx(5).margin(1e-5));
  CHECK(pieces[2][2].get<double>() == Approx(-1.38).margin(1e-5));
  for (std::size_t i = 1; i < pieces.size(); ++i) {
    CHECK(pieces[i][1] == pieces[i - 1][3]);
    CHECK(pieces[i][2] == pieces[i - 1][4]);
  }
}
