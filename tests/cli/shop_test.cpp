// `ovolo compare` and `ovolo sand calibrate` as a user meets them.
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>

#include "tests/support/command.hpp"

using namespace ovolo::tests;
using Json = nlohmann::json;
namespace fs = std::filesystem;

namespace {

const std::string kScenes = std::string(OVOLO_SOURCE_DIR) + "/scenes/";

}  // namespace

TEST_CASE("compare tells which strategy is best for what, and why", "[cli][shop]") {
  const TemporaryFolder folder;
  const Ran ran = run_ovolo("compare '" + kScenes + "one-pass-or-two.toml' --out out", folder.path());
  INFO(ran.err);
  REQUIRE(ran.code == 0);
  CHECK(holds(ran.out, "Finish: 'two equal-work passes at 50 in/min' is best"));
  CHECK(holds(ran.out, "mm (0.0014 in) per tooth instead of"));
  CHECK(holds(read_text(folder.path() / "out" / "compare.png"), "PNG"));
  CHECK(holds(ran.out, read_text(folder.path() / "out" / "compare.txt")));
  const Json r = Json::parse(read_text(folder.path() / "out" / "compare.json"));
  REQUIRE(r.at("strategies").size() == 3);
  const Json &one = r["strategies"][0], &two = r["strategies"][1];
  CHECK(one.at("passes") == 1);
  CHECK(two.at("passes") == 2);
  CHECK(two.at("chip_load_mm").get<double>() ==
        Approx(one.at("chip_load_mm").get<double>() / 2).margin(1e-4));
  CHECK(two.at("tallest_mark_mm").get<double>() < 0.4 * one.at("tallest_mark_mm").get<double>());
  CHECK(two.at("tip_index").get<double>() < one.at("tip_index").get<double>());
  CHECK(one.at("sanding") == "touch");
  CHECK(two.at("sanding") == "nothing to do");
  CHECK(two.at("shop").at("passes").size() == 5);
  CHECK(r.at("best").at("finish").at("places")[0][0] == two.at("name"));
  CHECK(r.at("rules").at("tip").at("share") == 0.1);
}

TEST_CASE("compare takes scenes side by side, and needs two ways", "[cli][shop]") {
  const TemporaryFolder folder;
  const std::string good = "'" + kScenes + "trailhead-sign.toml'",
                    bad = "'" + kScenes + "trailhead-sign-badly.toml'";
  const Ran both = run_ovolo("compare " + good + " " + bad, folder.path());
  REQUIRE(both.code == 0);
  CHECK(holds(both.out, "the edges of 'Trailhead sign, cut badly' are not within the wishes"));
  CHECK(holds(both.out, "must be recut"));
  CHECK(fs::is_empty(folder.path()));
  const Ran alone = run_ovolo("compare " + good, folder.path());
  CHECK(alone.code == 2);
  CHECK(holds(alone.err, "only one way to do the job"));
  const Ran twins = run_ovolo("compare " + good + " " + good + " --no-pictures --out out", folder.path());
  REQUIRE(twins.code == 0);
  CHECK(holds(twins.out, "Trailhead sign (trailhead-sign)"));
  CHECK(holds(twins.out, "Cost: no difference that matters"));
  CHECK_FALSE(fs::exists(folder.path() / "out" / "compare.png"));
}

TEST_CASE("sanding rates are fitted, kept in a file and used by a scene", "[cli][shop]") {
  const TemporaryFolder folder;
  const Ran fit =
      run_ovolo("sand calibrate '" + kScenes + "sanding/sign-times.toml' --out rates.toml", folder.path());
  INFO(fit.err);
  REQUIRE(fit.code == 0);
  CHECK(holds(fit.out, "per mm3 with P120 0.04"));
  std::string scene = read_text(kScenes + "trailhead-sign-badly.toml");
  write_text(folder.path() / "sign.toml", scene + "\n[sanding]\nrates = \"rates.toml\"\n");
  const Ran cut = run_ovolo("cut sign.toml --out out --cell 0.5 --no-pictures", folder.path());
  INFO(cut.err);
  REQUIRE(cut.code == 0);
  const Json shop = Json::parse(read_text(folder.path() / "out" / "report.json")).at("shop");
  CHECK(holds(shop.at("sanding").at("rates_from").get<std::string>(), "fitted to 5 timed parts"));
  CHECK(shop.at("sanding").at("seconds").at("value").get<double>() == Approx(205).margin(3));
  CHECK(shop.at("finish")[0].at("sanding").at("worst") == "recut");
}

TEST_CASE("sand calibrate says what is wrong with the timings", "[cli][shop]") {
  const TemporaryFolder folder;
  write_text(folder.path() / "few.toml",
             "[[parts]]\nseconds = 5\nwork = 10\n[[parts]]\nseconds = 6\nwork = 20\n");
  const Ran few = run_ovolo("sand calibrate few.toml", folder.path());
  CHECK(few.code == 1);
  CHECK(holds(few.err, "2 timings are too few: give at least 3 parts"));
  CHECK_FALSE(fs::exists(folder.path() / "sanding.toml"));
  CHECK(run_ovolo("sand", folder.path()).code == 2);
}

TEST_CASE("what hangs on a feed that was not told is left out, not told as nothing", "[cli][shop]") {
  const TemporaryFolder folder;
  std::string scene = read_text(kScenes + "trailhead-sign-badly.toml");
  for (const char* key : {"\nfeed = ", "\nspindle = "})
    for (std::size_t at = scene.find(key); at != std::string::npos; at = scene.find(key, at))
      scene.erase(at, scene.find('\n', at + 1) - at);
  write_text(folder.path() / "sign.toml", scene);
  const Ran ran = run_ovolo("cut sign.toml --out out --no-pictures", folder.path());
  INFO(ran.err);
  REQUIRE(ran.code == 0);
  CHECK_FALSE(holds(ran.out, "feed marks:"));
  CHECK_FALSE(holds(ran.out, "0.0 to 0.0 m/s"));
  CHECK(holds(ran.out, "has no feed or no spindle speed"));
  const Json report = Json::parse(read_text(folder.path() / "out" / "report.json"));
  CHECK(report.at("shop").at("finish").at(0).at("marks").is_null());
}
