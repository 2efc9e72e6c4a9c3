#include "io/scene/text_edits.hpp"

#include <algorithm>

#include "io/text.hpp"

namespace ovolo::io {

std::size_t TextEdits::offset_of(Place place) const {
  std::size_t at = 0;
  for (int line = 1; line < place.line; ++line) {
    at = text_.find('\n', at);
    if (at == std::string_view::npos) return text_.size();
    ++at;
  }
  for (int column = 1; column < place.column && at < text_.size(); ++column)
    at += std::max<std::size_t>(1, utf8_character(text_.substr(at)));
  return at;
}

TextEdits::Extent TextEdits::extent(const Node& node) const {
  const std::size_t from = offset_of(node.at);
  return {from, end_of(from)};
}

TextEdits::Extent TextEdits::extent(const Entry& entry) const {
  return {offset_of(entry.at), extent(entry.value).to};
}

std::string_view TextEdits::written(const Node& node) const {
  const Extent e = extent(node);
  return text_.substr(e.from, e.to - e.from);
}

std::size_t TextEdits::end_of(std::size_t at) const {
  if (at >= text_.size()) return at;
  const char c = text_[at];
  if (c == '"' || c == '\'') {
    const std::string quotes(text_.substr(at, 3) == std::string(3, c) ? 3 : 1, c);
    for (at += quotes.size(); at < text_.size() && text_.substr(at, quotes.size()) != quotes; ++at)
      if (text_[at] == '\\' && c == '"') ++at;
    return std::min(at + quotes.size(), text_.size());
  }
  if (c == '[' || c == '{') {
    const char close = c == '[' ? ']' : '}';
    for (++at; at < text_.size() && text_[at] != close;) {
      if (text_[at] == '#')
        at = std::min(text_.find('\n', at), text_.size());
      else if (text_[at] == '"' || text_[at] == '\'' || text_[at] == '[' || text_[at] == '{')
        at = end_of(at);
      else
        ++at;
    }
    return std::min(at + 1, text_.size());
  }
  // A time may stand behind its day and a blank.
  std::size_t end = std::min(text_.find_first_of(",]}#\r\n", at), text_.size());
  while (end > at && (text_[end - 1] == ' ' || text_[end - 1] == '\t')) --end;
  return end;
}

void TextEdits::replace(Extent what, std::string text) { edits_.push_back({what, std::move(text)}); }

std::string TextEdits::result() {
  std::stable_sort(edits_.begin(), edits_.end(),
                   [](const Edit& a, const Edit& b) { return a.what.from < b.what.from; });
  std::string out;
  std::size_t at = 0;
  for (const Edit& e : edits_) {
    out += text_.substr(at, e.what.from - at);
    out += e.text;
    at = e.what.to;
    const std::size_t hash = text_.find_first_not_of(' ', at);
    if (hash == std::string_view::npos || text_[hash] != '#' || e.what.from == e.what.to) continue;
    const std::size_t before = e.what.to - e.what.from, blanks = hash - at;
    if (e.text.size() > before)
      at += std::min(e.text.size() - before, blanks > 0 ? blanks - 1 : 0);
    else
      out.append(before - e.text.size(), ' ');
  }
  out += text_.substr(at);
  return out;
}

}  // namespace ovolo::io
