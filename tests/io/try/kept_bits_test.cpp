// Bits of a bits file, changed for a try.
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <string>

#include "io/scene/scene.hpp"
#include "io/try/answer.hpp"
#include "io/try/files.hpp"
#include "tests/support/command.hpp"
#include "tests/support/sign_rim.hpp"

using namespace ovolo::io;
using ovolo::tests::TemporaryFolder;
using Json = nlohmann::json;

namespace {

const std::string kBits = R"(units = "mm"
[bits.round5]
form = "point_roundover"
radius = 5
date = 2024-05-02
readings = [
  { what = "working_depth", value = 3.66, error = 0.03, date = 2023-11-20 },
  { what = "working_depth", value = 3.62, error = 0.02 },
  { what = "tip_flat",      value = 0.40, error = 0.05 } ]
[bits.quarter]
form = "point_roundover"
radius = "1/4 in"
working_depth = "0.177 in"
)";

const std::string kScene = R"(title = "Sign"
bits_file = "shop.toml"   # the shop's
units = "mm"

# The sheet.
[stock]
size = [400, 250]
layers = [ { name = "cap", thickness = 12 } ]
)" + ovolo::test::sign_rim() +
                           R"(offset = 0.2
depth = 3.5
)";

Json edit(const std::string& key, const std::string& value) {
  return {{"path", "bits/round5/" + key}, {"value", value}};
}

struct Bench {
  TemporaryFolder folder;
  Sample sample{kScene, "scene.toml", folder.path()};
  Bench() { ovolo::tests::write_text(folder.path() / "shop.toml", kBits); }
  Json cut(const Json& edits) const { return Json::parse(answer_cut(sample, Json{{"edits", edits}}.dump())); }
};

}  // namespace

TEST_CASE("a kept bit's numbers are tried without touching its file", "[try]") {
  const Bench bench;
  const Json answer = bench.cut(Json::array({edit("working_depth", "3.3"), edit("tip_flat", "0.5")}));
  INFO(answer.dump());
  REQUIRE(answer.at("ok") == true);
  // 3.5 deep with a working depth of 3.3: a lip of 0.2; flat 0.25 from the axis, 0.2 off the line: a band of
  // 0.05.
  CHECK(answer.at("station").at("lip").get<double>() == Approx(0.2).margin(1e-4));
  CHECK(answer.at("station").at("band").get<double>() == Approx(0.05).margin(1e-4));
  CHECK(bench.cut(Json::array()).at("settings").at("bits").at(0).at("kept_in") == "shop.toml");
  CHECK(answer.at("settings").at("bits").at(0).at("kept_in").is_null());
  CHECK(answer.at("settings").at("bits").at(1).at("kept_in") == "shop.toml");
  CHECK(ovolo::tests::read_text(bench.folder.path() / "shop.toml") == kBits);
  const Json wrong = bench.cut(Json::array({edit("working_depth", "6")}));
  REQUIRE(wrong.at("ok") == false);
  CHECK(wrong.at("faults").at(0).at("path") == "bits/round5/working_depth");
  CHECK(bench.cut(Json::array({edit("working_depth", "deep")})).at("faults").at(0).at("path") ==
        "bits/round5/working_depth");
}

TEST_CASE("a changed kept bit is saved in the new scene, others stay kept", "[try]") {
  const Bench bench;
  const Json request = {{"edits", Json::array({edit("working_depth", "3.3")})}, {"name", "new.toml"}};
  const Json saved = Json::parse(save_scene(bench.sample, request.dump()));
  INFO(saved.dump());
  REQUIRE(saved.at("ok") == true);
  CHECK(saved.at("own_bits") == Json::array({"round5"}));
  CHECK(saved.at("bits_file") == "shop.toml");
  const std::string text = ovolo::tests::read_text(bench.folder.path() / "new.toml");
  const std::string written = R"(units = "mm"

# As kept in shop.toml but for the numbers that were tried; the kept bit stays as it is.
[bits.round5]
instead_of_kept = true
form = "point_roundover"
radius = 5
date = 2024-05-02
readings = [
  { what = "working_depth", value = 3.3, error = 0.02 },
  { what = "tip_flat",      value = 0.40, error = 0.05 } ]

# The sheet.
[stock]
)";
  INFO(text);
  CHECK(text.find(written) != std::string::npos);
  const ovolo::Job job = read_scene(bench.folder.path() / "new.toml");
  REQUIRE(job.bits.size() == 2);
  CHECK(job.bits[0].working_depth == Approx(3.3));
  CHECK(job.bits[0].roundover->working_depth_error == Approx(0.02));
  CHECK(2 * job.bits[0].roundover->tip_radius == Approx(0.4));
  CHECK(ovolo::tests::read_text(bench.folder.path() / "shop.toml") == kBits);
  // Nothing of the bit changed: it stays where it is kept.
  const Json depth = {{"edits", {{{"path", "operations/0/depth"}, {"value", "3.4"}}}},
                      {"name", "other.toml"}};
  const Json plain = Json::parse(save_scene(bench.sample, depth.dump()));
  CHECK(plain.at("own_bits").empty());
  CHECK(ovolo::tests::read_text(bench.folder.path() / "other.toml").find("[bits") == std::string::npos);
}
