#include "io/program/interpreter.hpp"

#include <fmt/format.h>

#include <cmath>

namespace ovolo::io {
namespace {

constexpr int kHome = 5161, kSecondHome = 5181, kOffset = 5211, kSystem = 5220, kSystems = 5221;
constexpr int kSystemStep = 20;  // from one coordinate system's parameters to the next
constexpr int kMostTools = 99999;
constexpr double kFastestSpindle = 1e6;  // rpm, as in scenes

// Index of the axis whose value `index` is among three parameters from `first`; -1 when it is none of them.
int axis_of(int index, int first) { return index >= first && index < first + 3 ? index - first : -1; }

bool uses_axes(int once) { return once == 100 || once == 280 || once == 300 || once == 920; }
bool is_cycle(int motion) { return motion >= 810 && motion <= 890; }
bool dwells(int motion) { return motion == 820 || motion == 860 || motion == 880 || motion == 890; }

}  // namespace

Interpreter::Interpreter(const ProgramOptions& options, ProgramSink& sink, ProgramLogs& logs)
    : options_(options),
      sink_(sink),
      logs_(logs),
      parameters_(kMaxParameter + 1),
      home_(options.home),
      second_home_(options.second_home) {
  state_.inch = options.inch;
  state_.tool = options.first_tool;
  if (options.systems[0]) {
    for (std::size_t i = 0; i < systems_.size(); ++i) {
      if (!options.systems[i]) continue;
      systems_[i] = Point3{};
      for (std::size_t k = 0; k < 3; ++k)
        (*systems_[i])[k] = (*options.systems[i])[k] - (*options.systems[0])[k];
    }
  }
  systems_[0] = Point3{};
  for (const auto& [index, value] : options.parameters)
    parameters_.at(static_cast<std::size_t>(index)) = value;
  if (options.start) {
    where_ = *options.start;
    known_ = {true, true, true};
  }
}

Point3 Interpreter::position() const {
  Point3 p{};
  for (std::size_t i = 0; i < 3; ++i) p[i] = (where_[i] - zero_of(i)) / unit();
  return p;
}

double Interpreter::length_of(int tool) const {
  const auto found = options_.tools.find(tool);
  return found == options_.tools.end() ? 0 : found->second.length.value_or(0);
}

bool Interpreter::has_length(int tool) const {
  const auto found = options_.tools.find(tool);
  return found != options_.tools.end() && found->second.length.has_value();
}

const Point3& Interpreter::machine_zero(LineColumn at, std::string_view what) const {
  if (!options_.systems[0])
    throw ProgramError(
        at, fmt::format("{} speaks of machine coordinates, and where the work zero lies in them is not "
                        "known: tell it (machine_coordinates = {{ zero = [x, y, z] }}) or remove this",
                        what));
  return *options_.systems[0];
}

double Interpreter::parameter(int index, LineColumn at) const {
  if (index == kSystem) return state_.system;
  const auto told = [&] { return fmt::format("#{}", index); };
  if (const int i = axis_of(index, kHome); i >= 0) {
    machine_zero(at, told());
    return home_[static_cast<std::size_t>(i)] / unit();
  }
  if (const int i = axis_of(index, kSecondHome); i >= 0) {
    machine_zero(at, told());
    return second_home_[static_cast<std::size_t>(i)] / unit();
  }
  if (const int i = axis_of(index, kOffset); i >= 0)
    return saved_offset_[static_cast<std::size_t>(i)] / unit();
  for (int s = 0; s < 9; ++s) {
    const int i = axis_of(index, kSystems + kSystemStep * s);
    if (i < 0) continue;
    const Point3& zero = machine_zero(at, told());
    const auto& system = systems_[static_cast<std::size_t>(s)];
    const auto k = static_cast<std::size_t>(i);
    if (!system)
      throw ProgramError(at,
                         fmt::format("#{} has no value: set this system's zero with G10 L2 first", index));
    return ((*system)[k] + zero[k]) / unit();
  }
  return parameters_[static_cast<std::size_t>(index)];
}

void Interpreter::set_parameter(const ParameterSetting& s) {
  const auto told = [&] { return fmt::format("#{}", s.index); };
  if (s.index == kSystem)
    throw ProgramError(
        s.at, "#5220 holds the number of the coordinate system in force: choose it with G54 to G59.3");
  if (const int i = axis_of(s.index, kHome); i >= 0) {
    machine_zero(s.at, told());
    home_[static_cast<std::size_t>(i)] = s.value * unit();
  } else if (const int j = axis_of(s.index, kSecondHome); j >= 0) {
    machine_zero(s.at, told());
    second_home_[static_cast<std::size_t>(j)] = s.value * unit();
  } else if (const int k = axis_of(s.index, kOffset); k >= 0) {
    saved_offset_[static_cast<std::size_t>(k)] = s.value * unit();
  } else {
    for (int n = 0; n < 9; ++n) {
      const int axis = axis_of(s.index, kSystems + kSystemStep * n);
      if (axis < 0) continue;
      const Point3& zero = machine_zero(s.at, told());
      auto& system = systems_[static_cast<std::size_t>(n)];
      if (!system)
        throw ProgramError(
            s.at, fmt::format("#{} is one of three values that are all unknown: set this system's zero "
                              "with G10 L2 P{} X Y Z",
                              s.index, n + 1));
      const auto a = static_cast<std::size_t>(axis);
      (*system)[a] = s.value * unit() - zero[a];
      return;
    }
    parameters_[static_cast<std::size_t>(s.index)] = s.value;
  }
}

int Interpreter::motion_of(const Block& block, LineColumn line) {
  const auto& once = block.g(GGroup::once);
  const auto& motion = block.g(GGroup::motion);
  const bool taken = once && uses_axes(once->code);
  const bool absolute = once && once->code == 530;
  int code = -1;
  if (motion && motion->code == 800) {
    if (block.has_axes() && !taken)
      throw ProgramError(
          motion->at, "G80 ends all motion, so axis words have no meaning on its line: remove them or G80");
    code = 800;
  } else if (motion) {
    if (taken)
      throw ProgramError(motion->at,
                         fmt::format("{} and {} both use axis words: put them on lines of their own",
                                     g_name(motion->code), g_name(once->code)));
    if (!block.has_axes()) {
      const bool bare = !block.word('I') && !block.word('J') && !block.word('K') && !block.word('R');
      if (motion->code > 10 || !bare || absolute)
        throw ProgramError(motion->at,
                           fmt::format("{} needs at least one of X, Y and Z", g_name(motion->code)));
      logs_.extensions.add("bare-motion-code", "G0 or G1 without an axis word only sets the mode",
                           motion->at);
      state_.motion = motion->code;
      return -1;
    }
    code = motion->code;
  } else if (!taken && block.has_axes()) {
    if (state_.motion == 800)
      throw ProgramError(line,
                         "axis words without a motion code, and none is in force: write G0, G1, G2 or G3");
    code = state_.motion;
  }
  if (once && once->code == 920 && !block.has_axes())
    throw ProgramError(once->at, "G92 needs at least one of X, Y and Z");
  if (absolute && code != 0 && code != 10)
    throw ProgramError(once->at, "G53 works on a line with a G0 or G1 move only: add the move or remove G53");
  return code;
}

void Interpreter::check_words(const Block& block, int motion) const {
  const auto& once = block.g(GGroup::once);
  const int single = once ? once->code : -1;
  const bool arc = motion == 20 || motion == 30, cycle = is_cycle(motion);
  const auto refuse = [&](char letter, bool used, std::string_view users) {
    const ProgramWord* word = block.word(letter);
    if (word && !used)
      throw ProgramError(
          word->at, fmt::format("nothing on this line uses {}: it belongs to {}; remove it", letter, users));
  };
  for (const char letter : {'I', 'J', 'K'}) refuse(letter, arc || motion == 870, "G2, G3 and G87");
  refuse('R', arc || cycle, "G2, G3 and G81 to G89");
  refuse('P', single == 40 || single == 100 || dwells(motion), "G4, G10, G82, G86, G88 and G89");
  refuse('Q', motion == 830, "G83");
  refuse('L', single == 100 || cycle, "G10 and G81 to G89");
  const auto& radius = block.g(GGroup::radius);
  refuse('D', radius && radius->code != 400, "G41 and G42");
  refuse('H', block.has_g(GGroup::length, 430), "G43");
}

void Interpreter::run(const ProgramLine& line) {
  for (const ParameterSetting& s : line.settings) set_parameter(s);
  const Block block(line);
  // Where messages on a move point: its code, or its first axis word when the code stands on an earlier line.
  LineColumn start{line.line, 1};
  for (const ProgramWord& word : line.words) {
    if (word.letter < 'X' || word.letter > 'Z') continue;
    start = word.at;
    break;
  }
  if (line.semicolon)
    logs_.extensions.add("semicolon-comment", "comments that begin with ;", *line.semicolon);
  const int motion = motion_of(block, start);
  check_words(block, motion);
  const auto& once = block.g(GGroup::once);

  // The order of NISTIR 6556, table 8.
  if (line.message) sink_.message(*line.message, line.message_at);
  if (const auto& mode = block.g(GGroup::feed_mode)) {
    const bool inverse = mode->code == 930;
    if (state_.inverse_time != inverse) state_.feed = 0;
    state_.inverse_time = inverse;
  }
  set_feed(block);
  if (const ProgramWord* s = block.word('S')) {
    if (s->value < 0)
      throw ProgramError(s->at, "the spindle speed cannot be negative: M3 and M4 choose the direction");
    if (s->value > kFastestSpindle)
      throw ProgramError(s->at, "the spindle speed is over 1,000,000 rpm: correct S");
    state_.speed = s->value;
  }
  if (const ProgramWord* t = block.word('T'))
    state_.selected = near_integer(t->value, t->at, "a tool number", 0, kMostTools);
  if (const auto& m = block.m(MGroup::tool)) change_tool(m->at);
  if (const auto& m = block.m(MGroup::spindle)) set_spindle(m->code);
  if (const auto& m = block.m(MGroup::coolant)) set_coolant(m->code);
  if (const auto& m = block.m(MGroup::overrides)) state_.overrides = m->code == 48;
  if (once && once->code == 40) {
    const ProgramWord* p = block.word('P');
    if (!p) throw ProgramError(once->at, "G4 needs P, the seconds to wait");
    check_dwell(p->value, "the seconds to wait", p->at);
    sink_.dwell(p->value, once->at);
  }
  if (const auto& g = block.g(GGroup::plane)) set_plane(*g);
  if (const auto& g = block.g(GGroup::units)) set_units(*g, block.word('F') != nullptr);
  if (const auto& g = block.g(GGroup::radius)) set_compensation(*g, block);
  if (const auto& g = block.g(GGroup::length)) set_length(*g, block);
  if (const auto& g = block.g(GGroup::system)) set_system(*g);
  if (const auto& g = block.g(GGroup::path)) {
    state_.path = g->code;
    if (g->code == 640)
      logs_.assumptions.add(
          "path-blending", "under G64 the machine may round corners; the path is taken as programmed", g->at);
  }
  if (const auto& g = block.g(GGroup::distance)) state_.incremental = g->code == 910;
  if (const auto& g = block.g(GGroup::arc_distance)) {
    logs_.extensions.add("arc-distance-mode", "G90.1 and G91.1 (how I, J and K are given)", g->at);
    state_.arc_absolute = g->code == 901;
  }
  if (const auto& g = block.g(GGroup::retract)) state_.retract_to_r = g->code == 990;
  if (once) {
    if (once->code == 100) set_origin_data(block);
    if (once->code == 280 || once->code == 300) go_home(*once, block);
    if (once->code >= 920) set_axis_offsets(*once, block);
  }
  if (motion >= 0) move(block, motion, block.g(GGroup::motion) ? block.g(GGroup::motion)->at : start);
  if (const auto& m = block.m(MGroup::stop)) {
    if (m->code == 0) sink_.stop(ProgramStop::stop, m->at);
    if (m->code == 1) sink_.stop(ProgramStop::optional_stop, m->at);
    if (m->code == 60) sink_.stop(ProgramStop::pallet, m->at);
    if (m->code == 2 || m->code == 30) end_program(m->code, m->at);
  }
}

void Interpreter::set_feed(const Block& block) {
  const ProgramWord* f = block.word('F');
  if (!f) return;
  if (f->value < 0) throw ProgramError(f->at, "the feed cannot be negative");
  if (state_.inverse_time) return;
  state_.feed = f->value * unit();
  if (state_.feed != 0) check_feed(state_.feed, f->at);
}

void Interpreter::change_tool(LineColumn at) {
  if (!state_.selected)
    throw ProgramError(at, "M6 changes to a tool that no T word has chosen yet: add T and its number");
  if (compensation_.on())
    logs_.warnings.add("tool-change-under-compensation",
                       "the tool is changed while G41 or G42 is on; the radius it was turned on with stays",
                       at);
  state_.tool = *state_.selected;
  state_.turning = Turning::stopped;
  sink_.tool_change(state_.tool, at);
}

void Interpreter::set_spindle(int code) {
  state_.turning = code == 5 ? Turning::stopped : code == 3 ? Turning::clockwise : Turning::counterclockwise;
}

void Interpreter::set_coolant(int code) {
  if (code == 7) state_.mist = true;
  if (code == 8) state_.flood = true;
  if (code == 9) state_.mist = state_.flood = false;
}

void Interpreter::set_plane(const ProgramCode& code) {
  if (code.code != 170 && compensation_.on())
    throw ProgramError(code.at, "G41 and G42 work in the XY plane only: end them with G40 first");
  state_.plane = code.code == 170 ? Plane::xy : code.code == 180 ? Plane::xz : Plane::yz;
}

void Interpreter::set_units(const ProgramCode& code, bool feed_word) {
  const bool inch = code.code == 200;
  units_told_ = true;
  if (inch == state_.inch) return;
  if (compensation_.on())
    throw ProgramError(code.at, "units cannot change under G41 or G42: end them with G40 first");
  if (feed_word && !state_.inverse_time)
    logs_.warnings.add(
        "feed-before-units",
        fmt::format(
            "the F word on the line of {} is still taken in {}, since F acts before the units change: "
            "give F on a later line",
            g_name(code.code), inch ? "mm" : "inches"),
        code.at);
  state_.inch = inch;
}

void Interpreter::set_compensation(const ProgramCode& code, const Block& block) {
  if (code.code == 400) {
    compensation_.stop();
    state_.radius = 400;
    return;
  }
  if (state_.plane != Plane::xy)
    throw ProgramError(code.at,
                       fmt::format("{} works in the XY plane only: select G17 first", g_name(code.code)));
  if (compensation_.on())
    throw ProgramError(code.at,
                       fmt::format("{} is in force already: end it with G40 first", g_name(state_.radius)));
  const ProgramWord* d = block.word('D');
  const int tool = d ? near_integer(d->value, d->at, "D", 0, kMostTools) : state_.tool;
  const LineColumn at = d ? d->at : code.at;
  if (!d && tool == 0)
    throw ProgramError(at, "no tool is in the spindle whose radius could be used: change to one or add D");
  double diameter = 0;
  if (tool != 0) {
    const auto found = options_.tools.find(tool);
    if (found == options_.tools.end() || !found->second.diameter)
      throw ProgramError(
          at, fmt::format(
                  "the diameter of tool {0} is not known: tell it in the scene (tools = {{ {0} = {{ bit = "
                  "..., diameter = ... }} }})",
                  tool));
    diameter = *found->second.diameter;
  }
  compensation_.start(code.code == 410 ? CutterCompensation::Side::left : CutterCompensation::Side::right,
                      0.5 * diameter);
  state_.radius = code.code;
}

void Interpreter::set_length(const ProgramCode& code, const Block& block) {
  if (code.code == 490) {
    state_.length_tool = 0;
    return;
  }
  const ProgramWord* h = block.word('H');
  if (!h) throw ProgramError(code.at, "G43 needs H, the tool whose length is to be used");
  const int tool = near_integer(h->value, h->at, "H", 0, kMostTools);
  if (tool != 0 && !options_.tools.contains(tool))
    throw ProgramError(h->at,
                       fmt::format("tool {} is not in the scene: add it to the operation's tools", tool));
  state_.length_tool = tool;
}

void Interpreter::set_system(const ProgramCode& code) {
  if (compensation_.on())
    throw ProgramError(code.at,
                       "the coordinate system cannot change under G41 or G42: end them with G40 first");
  const int number = code.code >= 590 ? 6 + code.code - 590 : 1 + (code.code - 540) / 10;
  const auto& zero = systems_[static_cast<std::size_t>(number - 1)];
  if (!zero)
    throw ProgramError(
        code.at, fmt::format("where the zero of {} lies is not known: tell it in the scene or set it with "
                             "G10 L2 P{}",
                             g_name(code.code), number));
  origin_ = *zero;
  state_.system = number;
}

void Interpreter::set_origin_data(const Block& block) {
  const LineColumn at = block.g(GGroup::once)->at;
  const ProgramWord *l = block.word('L'), *p = block.word('P');
  if (!l || near_integer(l->value, l->at, "L", 0, 999) != 2)
    throw ProgramError(l ? l->at : at, "G10 is read as G10 L2 only: it sets the zero of a coordinate system");
  if (!p) throw ProgramError(at, "G10 L2 needs P, the number of the coordinate system (1 to 9)");
  const int number = near_integer(p->value, p->at, "P", 1, 9);
  if (compensation_.on())
    throw ProgramError(at, "coordinate systems cannot change under G41 or G42: end them with G40 first");
  const Point3& zero = machine_zero(at, "G10 L2");
  auto& system = systems_[static_cast<std::size_t>(number - 1)];
  if (!system && !(block.axis(0) && block.axis(1) && block.axis(2)))
    throw ProgramError(at, "nothing is known of this coordinate system yet: give all of X, Y and Z");
  if (!system) system = Point3{};
  for (std::size_t i = 0; i < 3; ++i)
    if (const ProgramWord* word = block.axis(i)) (*system)[i] = word->value * unit() - zero[i];
  if (number == state_.system) origin_ = *system;
}

void Interpreter::set_axis_offsets(const ProgramCode& code, const Block& block) {
  if (compensation_.on())
    throw ProgramError(
        code.at,
        fmt::format("{} cannot change offsets under G41 or G42: end them with G40 first", g_name(code.code)));
  if (code.code == 920) {
    for (std::size_t i = 0; i < 3; ++i) {
      const ProgramWord* word = block.axis(i);
      if (!word) continue;
      if (!known_[i])
        throw ProgramError(word->at,
                           "G92 renames the place where the machine stands, and that is not known yet: tell "
                           "where it starts (start = [x, y, z]) or move there first");
      offset_[i] += where_[i] - zero_of(i) - word->value * unit();
    }
    saved_offset_ = offset_;
  } else if (code.code == 921) {
    offset_ = saved_offset_ = Point3{};
  } else if (code.code == 922) {
    offset_ = Point3{};
  } else {
    offset_ = saved_offset_;
  }
}

void Interpreter::go_home(const ProgramCode& code, const Block& block) {
  if (compensation_.on())
    throw ProgramError(code.at, fmt::format("{} cannot be used under G41 or G42: end them with G40 first",
                                            g_name(code.code)));
  const Point3& zero = machine_zero(code.at, g_name(code.code));
  if (block.has_axes()) {
    rapid_to(target(block), code.at);
    if (!(block.axis(0) && block.axis(1) && block.axis(2)))
      logs_.warnings.add(
          "home-all-axes",
          fmt::format("{} sends all axes home, not only those it names (NISTIR 6556); some machines differ",
                      g_name(code.code)),
          code.at);
  }
  Point3 home = code.code == 280 ? home_ : second_home_;
  for (std::size_t i = 0; i < 3; ++i) home[i] -= zero[i];
  rapid_to({home}, code.at);
}

void Interpreter::end_program(int code, LineColumn at) {
  ended_ = true;
  offset_ = Point3{};
  origin_ = *systems_[0];
  compensation_.stop();
  state_.system = 1;
  state_.plane = Plane::xy;
  state_.incremental = false;
  state_.inverse_time = false;
  state_.overrides = true;
  state_.radius = 400;
  state_.turning = Turning::stopped;
  state_.motion = 10;
  state_.mist = state_.flood = false;
  sink_.stop(code == 2 ? ProgramStop::end : ProgramStop::end_rewind, at);
}

}  // namespace ovolo::io
