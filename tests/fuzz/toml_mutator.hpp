#pragma once
// The mutator of a fuzz target whose inputs are TOML; each target is one source file, so this is its own.
#include <algorithm>
#include <array>
#include <cctype>
#include <cstddef>
#include <cstdint>
#include <random>
#include <string>
#include <string_view>
#include <vector>

extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* data, std::size_t size, std::size_t max_size);

namespace {

// Bytes changed at random are hardly ever TOML: these changes keep a scene's form and spoil its sense.
constexpr std::array<std::string_view, 24> kValues{
    "0",           "-1",     "1e300",      "1e-300",    "nan",    "inf",
    "99999",       "100001", "1e-5",       "[]",        "{}",     "[[0, 0]]",
    "\"1/64 in\"", "\"5\"",  "\"9 ft\"",   "true",      "[1, 1]", "\"left\"",
    "\"x\"",       "5.0001", "1000000000", "[0, 1e-9]", "-0.0",   "{ to = [3, 4], bulge = 2 }"};

std::vector<std::string> lines_of(std::string_view text) {
  std::vector<std::string> lines(1);
  for (const char c : text) {
    if (c == '\n')
      lines.emplace_back();
    else
      lines.back() += c;
  }
  return lines;
}

// Puts one of the values in the place of a number or a text of the line.
void replace_value(std::string& line, std::minstd_rand& random) {
  std::vector<std::size_t> starts;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const bool begins = std::isdigit(static_cast<unsigned char>(line[i])) || line[i] == '"';
    if (begins && (i == 0 || !std::isalnum(static_cast<unsigned char>(line[i - 1])))) starts.push_back(i);
  }
  if (starts.empty()) return;
  const std::size_t from = starts[random() % starts.size()];
  const std::size_t quote = line[from] == '"' ? line.find('"', from + 1) : std::string::npos;
  const std::size_t to = quote != std::string::npos
                             ? quote + 1
                             : std::min(line.size(), line.find_first_not_of("0123456789.", from));
  line.replace(from, to - from, kValues[random() % kValues.size()]);
}

}  // namespace

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t max_size,
                                               unsigned seed) {
  std::minstd_rand random(seed);
  if (random() % 4 == 0) return LLVMFuzzerMutate(data, size, max_size);
  std::vector<std::string> lines = lines_of({reinterpret_cast<const char*>(data), size});
  const std::size_t at = random() % lines.size(), other = random() % lines.size();
  switch (random() % 5) {
    case 0:
      lines.erase(lines.begin() + static_cast<std::ptrdiff_t>(at));
      break;
    case 1:
      lines.insert(lines.begin() + static_cast<std::ptrdiff_t>(at), std::string(lines[other]));
      break;
    case 2:
      std::swap(lines[at], lines[other]);
      break;
    default:
      replace_value(lines[at], random);
  }
  std::string text;
  for (const std::string& line : lines) text += line + '\n';
  if (!text.empty()) text.pop_back();
  text.resize(std::min(text.size(), max_size));
  std::copy(text.begin(), text.end(), reinterpret_cast<char*>(data));
  return text.size();
}
