#pragma once
#include "io/program/block.hpp"
#include "io/program/compensation.hpp"
#include "io/program/notes.hpp"
#include "io/program/options.hpp"
#include "io/program/sink.hpp"

namespace ovolo::io {

/// What stays in force from line to line. G codes are held ten times their number.
struct ModalState {
  int motion = 800;
  Plane plane = Plane::xy;
  bool inch = false;
  bool incremental = false;   ///< G91
  bool arc_absolute = false;  ///< G90.1, an extension
  bool inverse_time = false;  ///< G93
  bool retract_to_r = false;  ///< G99
  int radius = 400;           ///< G40, G41 or G42
  int length_tool = 0;        ///< H of G43; 0 under G49
  int system = 1;             ///< 1 to 9 for G54 to G59.3
  int path = 610;             ///< G61, G61.1 or G64
  Turning turning = Turning::stopped;
  double speed = 0;  ///< rpm
  double feed = 0;   ///< mm/min; 0 when none is set
  bool mist = false, flood = false, overrides = true;
  int tool = 0;                 ///< in the spindle
  std::optional<int> selected;  ///< by T
};

/// Executes lines of RS274/NGC as NISTIR 6556 (version 3) lays down and tells a sink what the machine does.
/// Spindle and coolant overrides, path control and coolant change nothing in the cut and are only remembered.
class Interpreter : public ParameterSource {
 public:
  /// All must outlive it.
  Interpreter(const ProgramOptions& options, ProgramSink& sink, ProgramLogs& logs);

  /// Throws ProgramError for what cannot be honoured.
  void run(const ProgramLine& line);
  /// M2 or M30 has been run.
  bool ended() const { return ended_; }
  std::size_t motions() const { return motions_; }
  const ModalState& state() const { return state_; }
  /// The program's own coordinates of where it is, in the units in force.
  Point3 position() const;
  double parameter(int index, LineColumn at) const override;

 private:
  struct Piece {
    Point3 end{};
    std::optional<ProgramArc> arc;
  };
  struct Pieces {
    std::array<Piece, 2> piece;
    int count = 0;
    void add(const Point3& end, std::optional<ProgramArc> arc = {}) {
      piece[static_cast<std::size_t>(count++)] = {end, arc};
    }
  };
  struct Cycle;
  /// A place to go to, mm from the work zero, with the axes that are known.
  struct Spot {
    Point3 at{};
    std::array<bool, 3> known{true, true, true};
  };

  // Settings (interpreter.cpp).
  void set_parameter(const ParameterSetting& setting);
  void set_feed(const Block& block);
  void change_tool(LineColumn at);
  void set_spindle(int code);
  void set_coolant(int code);
  void set_plane(const ProgramCode& code);
  void set_units(const ProgramCode& code, bool feed_word);
  void set_compensation(const ProgramCode& code, const Block& block);
  void set_length(const ProgramCode& code, const Block& block);
  void set_system(const ProgramCode& code);
  void set_origin_data(const Block& block);
  void set_axis_offsets(const ProgramCode& code, const Block& block);
  void go_home(const ProgramCode& code, const Block& block);
  void end_program(int code, LineColumn at);
  /// The motion code a line asks for: its own, or the one in force when it has axis words for it; -1: none.
  int motion_of(const Block& block, LineColumn line);
  void check_words(const Block& block, int motion) const;

  // Motions (motion.cpp).
  void move(const Block& block, int motion, LineColumn at);
  void straight(const Block& block, bool rapid, LineColumn at);
  void circular(const Block& block, bool clockwise, LineColumn at);
  /// Where a line's axis words lead, mm from the work zero.
  Spot target(const Block& block) const;
  /// mm/min for a move of that length; throws when no feed is set.
  double feed_for(double length, const Block& block, LineColumn at) const;
  /// Throw for a feed or a wait that no machine is given.
  static void check_feed(double feed, LineColumn at);
  static void check_dwell(double seconds, std::string_view what, LineColumn at);
  double length_along(const Pieces& pieces) const;
  void require_known(LineColumn at) const;
  /// Motion to or from a place that is not fully known is made but not sent on.
  void rapid_to(const Spot& spot, LineColumn at);
  void feed_to(const Point3& end, LineColumn at);
  /// Feed 0 is a rapid.
  void make(const Pieces& pieces, double feed, LineColumn at);
  void send(const Piece& piece, double feed, LineColumn at);
  static ProgramArc arc_in(Plane plane, const ArcShape& shape, double level);
  void add_compensated(Pieces& pieces, const CutterCompensation::Piece& piece, bool last, double end_z) const;

  // Canned cycles (cycle.cpp).
  void canned_cycle(const Block& block, int code, LineColumn at);
  Cycle cycle_words(const Block& block, int code, LineColumn at);
  void one_hole(const Cycle& cycle, int code, LineColumn at);

  double unit() const { return state_.inch ? 25.4 : 1.0; }
  double arc_tolerance() const { return state_.inch ? kArcToleranceInch : kArcToleranceMm; }
  /// mm from the work zero to where the program's coordinate is nought on axis i.
  double zero_of(std::size_t i) const {
    return origin_[i] + offset_[i] + (i == 2 ? length_of(state_.length_tool) : 0);
  }
  double length_of(int tool) const;
  bool has_length(int tool) const;
  const Point3& machine_zero(LineColumn at, std::string_view what) const;

  const ProgramOptions& options_;
  ProgramSink& sink_;
  ProgramLogs& logs_;
  ModalState state_;
  CutterCompensation compensation_;
  std::vector<double> parameters_;
  std::array<std::optional<Point3>, 9> systems_;  // mm from the work zero
  Point3 where_{};                 // mm from the work zero; z of the spindle's gauge line less a constant
  std::array<bool, 3> known_{};    // axes whose place is known
  Point3 origin_{};                // of the system in force, mm from the work zero
  Point3 offset_{};                // G92, mm
  Point3 saved_offset_{};          // parameters 5211 to 5213, mm
  Point3 home_{}, second_home_{};  // machine coordinates, mm
  bool units_told_ = false;
  bool ended_ = false;
  std::size_t motions_ = 0;

  // Words of the canned cycle in force that stay until changed, as they were written.
  struct Sticky {
    Plane plane = Plane::xy;
    std::optional<double> depth, clear, peck, dwell;
    std::array<std::optional<double>, 3> offsets;
  } sticky_;
};

}  // namespace ovolo::io
