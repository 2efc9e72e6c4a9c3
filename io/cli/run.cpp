#include "io/cli/run.hpp"

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "io/error.hpp"
#include "io/in_units.hpp"
#include "io/length.hpp"
#include "io/report/unit_doubts.hpp"
#include "io/scene/scene.hpp"

namespace ovolo::cli {

Prepared prepare(const std::string& scene) { return prepare(io::read_scene(scene)); }

Prepared prepare(Job job) {
  Plan plan = with_places(job, [&] { return make_plan(job); });
  MoveIndex index(plan, job);
  return {std::move(job), std::move(plan), std::move(index)};
}

void rethrow_with_place(const Job& job) {
  const auto place_of = [&](const JobError& e) {
    const auto n = static_cast<std::size_t>(e.operation);
    return e.operation >= 0 && n < job.operations.size() ? job.operations[n].source : job.stock.source;
  };
  try {
    throw;
  } catch (const MemoryError& e) {
    throw DoesNotFit(io::Fault{place_of(e), e.what()}.str());
  } catch (const JobError& e) {
    std::string text = e.what();
    for (const Warning& doubt : io::unit_doubts(job)) text += "; " + doubt.text;
    throw io::SceneError(place_of(e), io::InUnits(job.inch).sentence(text));
  }
}

double option_length(const std::string& text, const std::string& option) {
  double mm = 0;
  try {
    mm = io::parse_length(text, io::Units::mm);
  } catch (const io::UnitError& e) {
    throw CLI::ValidationError(option, e.what());
  }
  if (!(mm > 0)) throw CLI::ValidationError(option, fmt::format("'{}' must be more than 0", text));
  return mm;
}

}  // namespace ovolo::cli
