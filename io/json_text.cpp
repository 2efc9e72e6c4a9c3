#include "io/json_text.hpp"

#include <nlohmann/json.hpp>

namespace ovolo::io {

namespace {

std::string dumped(const nlohmann::ordered_json& json, int indent) {
  return json.dump(indent, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

}  // namespace

std::string json_line(const nlohmann::ordered_json& json) { return dumped(json, -1); }
std::string json_file(const nlohmann::ordered_json& json) { return dumped(json, 2) + '\n'; }

nlohmann::ordered_json json_of(std::string_view text) {
  return nlohmann::ordered_json::parse(text, nullptr, false);
}

}  // namespace ovolo::io
