#include "io/program/block.hpp"

#include <fmt/format.h>

#include <cmath>

namespace ovolo::io {
namespace {

std::optional<GGroup> group_of_g(int code) {
  switch (code) {
    case 40:
    case 100:
    case 280:
    case 300:
    case 530:
    case 920:
    case 921:
    case 922:
    case 923:
      return GGroup::once;
    case 0:
    case 10:
    case 20:
    case 30:
    case 800:
    case 810:
    case 820:
    case 830:
    case 840:
    case 850:
    case 860:
    case 870:
    case 880:
    case 890:
      return GGroup::motion;
    case 170:
    case 180:
    case 190:
      return GGroup::plane;
    case 900:
    case 910:
      return GGroup::distance;
    case 901:
    case 911:
      return GGroup::arc_distance;  // extension
    case 930:
    case 940:
      return GGroup::feed_mode;
    case 200:
    case 210:
      return GGroup::units;
    case 400:
    case 410:
    case 420:
      return GGroup::radius;
    case 430:
    case 490:
      return GGroup::length;
    case 980:
    case 990:
      return GGroup::retract;
    case 540:
    case 550:
    case 560:
    case 570:
    case 580:
    case 590:
    case 591:
    case 592:
    case 593:
      return GGroup::system;
    case 610:
    case 611:
    case 640:
      return GGroup::path;
    default:
      return {};
  }
}

std::optional<MGroup> group_of_m(int code) {
  switch (code) {
    case 0:
    case 1:
    case 2:
    case 30:
    case 60:
      return MGroup::stop;
    case 6:
      return MGroup::tool;
    case 3:
    case 4:
    case 5:
      return MGroup::spindle;
    case 7:
    case 8:
    case 9:
      return MGroup::coolant;
    case 48:
    case 49:
      return MGroup::overrides;
    default:
      return {};
  }
}

// Ten times a G code's number. Codes have one decimal at most.
int g_code(const ProgramWord& word) {
  const double tenfold = 10 * word.value;
  if (tenfold < 0 || tenfold > 9990 || std::abs(tenfold - std::round(tenfold)) > 10 * kNearInteger)
    throw ProgramError(word.at, fmt::format("there is no code G{}", word.value));
  return static_cast<int>(std::round(tenfold));
}

}  // namespace

std::string g_name(int code) {
  return code % 10 ? fmt::format("G{}.{}", code / 10, code % 10) : fmt::format("G{}", code / 10);
}

Block::Block(const ProgramLine& line) {
  int m_words = 0;
  for (const ProgramWord& word : line.words) {
    if (word.letter == 'G') {
      const int code = g_code(word);
      if (code == 382)
        throw ProgramError(
            word.at,
            "G38.2 probes until a contact opens or closes, which only the machine can know: put the "
            "measured values in its place");
      const auto group = group_of_g(code);
      if (!group)
        throw ProgramError(
            word.at, fmt::format("{} is not in NISTIR 6556 and cannot be honoured: remove it or have the "
                                 "program posted without it",
                                 g_name(code)));
      auto& held = g_[static_cast<std::size_t>(*group)];
      if (held)
        throw ProgramError(word.at, fmt::format("{} and {} exclude each other on one line: keep one of them",
                                                g_name(held->code), g_name(code)));
      held = ProgramCode{code, word.at};
    } else if (word.letter == 'M') {
      if (++m_words > 4)
        throw ProgramError(word.at, "more than four M words on one line: move some to another line");
      const int code = near_integer(word.value, word.at, "an M code", 0, 999);
      const auto group = group_of_m(code);
      if (!group)
        throw ProgramError(word.at,
                           fmt::format("M{} is not in NISTIR 6556 and cannot be honoured: remove it or have "
                                       "the program posted without it",
                                       code));
      auto& held = m_[static_cast<std::size_t>(*group)];
      if (held)
        throw ProgramError(
            word.at,
            fmt::format("M{} and M{} exclude each other on one line: keep one of them", held->code, code));
      held = ProgramCode{code, word.at};
    } else {
      if (word.letter == 'A' || word.letter == 'B' || word.letter == 'C')
        throw ProgramError(
            word.at, fmt::format("{} turns a rotary axis, which a three-axis router does not have: have "
                                 "the program posted for three axes",
                                 word.letter));
      auto& held = words_[static_cast<std::size_t>(word.letter - 'A')];
      if (held)
        throw ProgramError(word.at,
                           fmt::format("{} stands twice on this line: keep one of them", word.letter));
      held = word;
    }
  }
}

const ProgramWord* Block::word(char letter) const {
  const auto& held = words_[static_cast<std::size_t>(letter - 'A')];
  return held ? &*held : nullptr;
}

}  // namespace ovolo::io
