#include "io/scene/timings.hpp"

#include <fmt/format.h>

#include "io/file.hpp"
#include "io/scene/table.hpp"
#include "io/scene/toml.hpp"

namespace ovolo::io {
namespace {

constexpr std::size_t kMostParts = 10000;
constexpr double kMost = 1e9;

TimedPart read_part(const Node& node, std::size_t number, Reading& reading) {
  Table table(node, fmt::format("part {}", number), reading);
  TimedPart part;
  part.source = reading.source(node.at);
  part.seconds = table.number("seconds", {0, kMost, true}, Need::yes).value_or(0);
  const auto scene = table.text("scene");
  const auto work = table.number("work", Range::not_negative(kMost));
  const auto stroke = table.number("stroke", Range::not_negative(kMost));
  table.any("note", "", Need::no);
  table.finish();
  if (scene) part.scene = (reading.folder / *scene).string();
  if (work) part.timing = SandTiming{part.seconds, *work, stroke.value_or(0)};
  if (table.has("scene") == table.has("work"))
    reading.fault(
        node.at,
        fmt::format("part {} needs either `scene` or `work`, so that what came off it is known", number));
  return part;
}

}  // namespace

Timings read_timings(const std::filesystem::path& path) {
  return parse_timings(read_file(path), path.string(), path.parent_path());
}

Timings parse_timings(std::string_view text, const std::string& name, const std::filesystem::path& folder) {
  const Node root = parse_toml(text, name);
  Reading reading(name, folder);
  Table file(root, "the timings", reading);
  Timings timings;
  timings.source = reading.source(file.place());
  if (const auto rate = file.number("per_metre", Range::not_negative(kMost)))
    timings.held.per_metre = {*rate, *rate, *rate};
  timings.fit_per_metre = file.flag("fit_per_metre").value_or(false);
  if (const auto* parts = file.list("parts", "timed parts ([[parts]] before each)", kMostParts, Need::yes))
    for (const Node& node : *parts)
      timings.parts.push_back(read_part(node, timings.parts.size() + 1, reading));
  file.finish();
  reading.raise();
  return timings;
}

std::string rates_file(const SandFit& fit, const std::vector<SandTiming>& timings, const std::string& date) {
  const auto line = [](const char* key, const Ranged& r, const char* unit) {
    return fmt::format("{} = [{:.6g}, {:.6g}, {:.6g}]  # {}: low, likely, high\n", key, r.low, r.value,
                       r.high, unit);
  };
  const SandRates& r = fit.rates;
  std::string out = fmt::format(
      "# Sanding rates fitted to {} timed parts on {}. A scene names this file as rates = \"...\" under "
      "[sanding].\n# The ranges hold 95 % of what such timings can mean; a part's own time scatters by "
      "{:.1f} s.\n[rates]\n",
      timings.size(), date, fit.scatter);
  out += line("handling", r.handling, "s per part");
  out += line("per_metre", r.per_metre,
              fit.per_metre_fitted ? "s per metre of edge and grit"
                                   : "s per metre of edge and grit; held, not fitted");
  out += line("per_mm3", r.per_mm3, "s per mm3 with P120");
  out += fmt::format("source = \"fitted to {} timed parts, {}\"\n", timings.size(), date);
  for (const SandTiming& t : timings)
    out += fmt::format("\n[[timings]]\nseconds = {:.6g}\nwork = {:.6g}\nstroke = {:.6g}\n", t.seconds,
                       t.equivalent, t.stroke);
  return out;
}

}  // namespace ovolo::io
