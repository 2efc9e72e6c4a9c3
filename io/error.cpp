#include "io/error.hpp"

#include <fmt/format.h>

namespace ovolo::io {
namespace {

std::string lines(const std::vector<Fault>& faults) {
  std::string all;
  for (const Fault& fault : faults) {
    if (!all.empty()) all += '\n';
    all += fault.str();
  }
  return all;
}

}  // namespace

std::string Fault::str() const {
  if (source.line <= 0) return fmt::format("{}: {}", source.file, text);
  return fmt::format("{}:{}:{}: {}", source.file, source.line, source.column, text);
}

SceneError::SceneError(Source source, std::string text)
    : SceneError(std::vector<Fault>(1, Fault{std::move(source), std::move(text)})) {}

SceneError::SceneError(std::vector<Fault> faults)
    : std::runtime_error(lines(faults)), faults_(std::move(faults)) {}

}  // namespace ovolo::io
