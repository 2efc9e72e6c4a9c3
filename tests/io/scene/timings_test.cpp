#include "io/scene/timings.hpp"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <string>

#include "io/scene/parts.hpp"

using namespace ovolo;

namespace {

std::filesystem::path written(const std::string& text) {
  const auto path = std::filesystem::temp_directory_path() / "ovolo-timings-test.toml";
  std::ofstream(path) << text;
  return path;
}

std::string complaint(const std::string& text) {
  try {
    io::read_timings(written(text));
  } catch (const io::SceneError& error) {
    return error.what();
  }
  return "";
}

}  // namespace

TEST_CASE("timings of sanded parts", "[scene][shop]") {
  const io::Timings t = io::read_timings(written(R"(per_metre = 12
[[parts]]
seconds = 95
work = 420
stroke = 1800
note = "left-hand sign"
[[parts]]
seconds = 40
scene = "sign.toml"
)"));
  REQUIRE(t.parts.size() == 2);
  CHECK(t.held.per_metre.value == 12);
  CHECK_FALSE(t.fit_per_metre);
  REQUIRE(t.parts[0].timing);
  CHECK(t.parts[0].timing->equivalent == 420);
  CHECK(t.parts[0].timing->stroke == 1800);
  CHECK(t.parts[1].scene == (std::filesystem::temp_directory_path() / "sign.toml").string());
}

TEST_CASE("wrong timings are faults with their place", "[scene][shop]") {
  CHECK(complaint("[[parts]]\nseconds = 5\n").find("needs either `scene` or `work`") != std::string::npos);
  CHECK(complaint("[[parts]]\nwork = 5\n").find("`seconds` is missing") != std::string::npos);
  CHECK(complaint("[[parts]]\nwork = 5\nsecs = 5\n").find("toml:3:1: unknown key `secs`") !=
        std::string::npos);
  CHECK(complaint("").find("`parts` is missing") != std::string::npos);
}

TEST_CASE("a rates file is read back by a scene", "[scene][shop]") {
  const std::vector<SandTiming> timings{{31, 100, 900}, {52, 500, 900}, {69, 900, 900}, {97, 1500, 900}};
  const SandFit fit = fit_sand_rates(timings, SandRates{});
  const auto path = written(io::rates_file(fit, timings, "2026-11-25"));
  const SandRates rates = io::read_sand_rates(path);
  CHECK(rates.per_mm3.value == Approx(fit.rates.per_mm3.value).epsilon(1e-5));
  CHECK(rates.handling.high == Approx(fit.rates.handling.high).epsilon(1e-5));
  CHECK(rates.source == "fitted to 4 timed parts, 2026-11-25");
  std::filesystem::remove(path);
}
