#include "io/scene/suggest.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>

#include "io/text.hpp"

namespace ovolo::io {
namespace {

constexpr std::size_t kLongest = 64;  // longer words are not compared: the work is their product

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

// Fewest letters added, dropped, changed or swapped with their neighbour between two words.
std::size_t distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> before(b.size() + 1), last(b.size() + 1), now(b.size() + 1);
  std::iota(last.begin(), last.end(), std::size_t{0});
  for (std::size_t i = 1; i <= a.size(); ++i) {
    now[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const bool same = lower(a[i - 1]) == lower(b[j - 1]);
      now[j] = std::min({last[j] + 1, now[j - 1] + 1, last[j - 1] + (same ? 0u : 1u)});
      const bool swapped =
          i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) && lower(a[i - 2]) == lower(b[j - 1]);
      if (swapped) now[j] = std::min(now[j], before[j - 2] + 1);
    }
    std::swap(before, last);
    std::swap(last, now);
  }
  return last[b.size()];
}

}  // namespace

std::string nearest_word(std::string_view word, const std::vector<std::string>& known) {
  std::string best;
  if (word.empty() || word.size() > kLongest) return best;
  std::size_t nearest = word.size() < 3 ? 1 : std::max<std::size_t>(1, word.size() / 3) + 1;
  for (const std::string& candidate : known) {
    if (candidate.size() > kLongest) continue;
    std::size_t d = distance(word, candidate);
    // A word cut short ("diam"), or one with more behind it ("radius_mm").
    if (word.size() >= 3 && (candidate.starts_with(word) || word.starts_with(candidate)))
      d = std::min(d, nearest - 1);
    if (d < nearest) {
      nearest = d;
      best = candidate;
    }
  }
  return best;
}

std::string listed(const std::vector<std::string>& words) {
  constexpr std::size_t kMost = 24;
  if (words.empty()) return "none";
  std::string out;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i == kMost) return out + fmt::format(" and {} more", words.size() - kMost);
    if (i > 0) out += i + 1 == words.size() ? " or " : ", ";
    out += fmt::format("`{}`", shown(words[i]));
  }
  return out;
}

std::string unknown(std::string_view kind, std::string_view word, const std::vector<std::string>& known,
                    std::string_view where) {
  const std::string near = nearest_word(word, known);
  return fmt::format("unknown {} `{}`{}; {}", kind, shown(word), where,
                     near.empty()
                         ? fmt::format("write {}{}", known.size() > 1 ? "one of " : "", listed(known))
                         : fmt::format("did you mean `{}`?", near));
}

}  // namespace ovolo::io
