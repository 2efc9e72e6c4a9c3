#include "sim/shop/motion_time.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "sim/error.hpp"

namespace ovolo {

void check(const Machine& m) {
  const auto positive = [](double v, const char* name, const char* unit) {
    if (!(std::isfinite(v) && v > 0))
      throw JobError(fmt::format("the machine's {} is {:.4g} {}: give a value above 0", name, v, unit));
  };
  const auto not_negative = [](double v, const char* name, const char* unit) {
    if (!(std::isfinite(v) && v >= 0))
      throw JobError(fmt::format("the machine's {} is {:.4g} {}: give 0 or more", name, v, unit));
  };
  positive(m.acceleration, "acceleration", "mm/s^2");
  positive(m.rapid, "rapid", "mm/min");
  not_negative(m.junction, "junction", "mm");
  not_negative(m.clearance, "clearance", "mm");
  not_negative(m.bit_change, "bit_change", "s");
  not_negative(m.runout, "runout", "mm");
}

namespace {

struct Vec3 {
  double x, y, z;
};

double dot(const Vec3& a, const Vec3& b) { return a.x * b.x + a.y * b.y + a.z * b.z; }

/// One stretch of travel, with the pass it is booked to.
struct Leg {
  double length = 0;         // mm
  double ceiling = 0;        // mm/s
  Vec3 leaves{}, arrives{};  // unit tangents at its start and end
  MoveRole role = MoveRole::rapid;
  std::size_t booking = 0;
  double entry = 0;  // mm/s at its start; the end's is the next one's entry
};

/// Speed at which the corner between two legs may be passed.
double corner_speed(const Leg& a, const Leg& b, const Machine& machine) {
  const double top = std::min(a.ceiling, b.ceiling);
  const double cosine = std::clamp(dot(a.arrives, b.leaves), -1.0, 1.0);
  const double half_turn = std::acos(cosine) / 2;
  if (half_turn < 1e-7) return top;
  const double c = std::cos(half_turn);
  if (c < 1e-9) return 0;
  const double by_deviation = machine.junction * c / (1 - c);
  const double by_room = std::min(a.length, b.length) / 2 / std::tan(half_turn);
  return std::min(top, std::sqrt(machine.acceleration * std::min(by_deviation, by_room)));
}

struct Spent {
  double seconds = 0, at_ceiling = 0;
};

Spent time_of(const Leg& leg, double exit, double acceleration) {
  const double v0 = leg.entry, v1 = exit;
  const double peak = std::min(leg.ceiling, std::sqrt(acceleration * leg.length + (v0 * v0 + v1 * v1) / 2));
  const double changing = (2 * peak * peak - v0 * v0 - v1 * v1) / (2 * acceleration);
  const double cruise = peak < leg.ceiling ? 0 : std::max(0.0, leg.length - changing) / peak;
  return {(2 * peak - v0 - v1) / acceleration + cruise, cruise};
}

Vec3 tangent_at(const Move& m, double s, double run, double length) {
  const double rise = (m.z1 - m.z0) / length;
  if (run <= 0) return {0, 0, rise};
  const Vec2 t = m.path.tangent(s);
  return {t.x * run / length, t.y * run / length, rise};
}

Leg straight_leg(Vec3 from, Vec3 to, double speed, std::size_t booking) {
  Leg leg;
  leg.length = std::sqrt((to.x - from.x) * (to.x - from.x) + (to.y - from.y) * (to.y - from.y) +
                         (to.z - from.z) * (to.z - from.z));
  leg.ceiling = speed;
  if (leg.length > 0)
    leg.leaves = leg.arrives = {(to.x - from.x) / leg.length, (to.y - from.y) / leg.length,
                                (to.z - from.z) / leg.length};
  leg.booking = booking;
  return leg;
}

/// Times the plan's legs run by run; a run starts and ends at standstill.
class Clock {
 public:
  Clock(const Job& job, const Plan& plan, const Machine& machine)
      : job_(job), plan_(plan), machine_(machine) {}

  PlanTime time() {
    bool first = true;
    std::uint32_t bit = 0, set_up = 0;
    for (const Move& move : plan_.moves) {
      if (!first && move.set_up != set_up) {
        retract();
        finish_run();
      }
      set_up = move.set_up;
      if (!first && move.bit != bit) {
        retract();
        finish_run();
        ++out_.bit_changes;
      }
      bit = move.bit;
      first = false;
      add(move);
    }
    finish_run();
    out_.changing = out_.bit_changes * machine_.bit_change;
    for (const Operation& op : job_.operations)
      if (op.kind == OperationKind::turn) out_.turning += op.turn.time;
    out_.total = out_.changing + out_.turning;
    for (const PassTime& pass : out_.passes) out_.total += pass.seconds();
    return out_;
  }

 private:
  std::size_t booking(const Move& move) {
    const auto [it, fresh] = bookings_.try_emplace({move.operation, move.pass}, out_.passes.size());
    if (fresh) {
      PassTime pass;
      pass.operation = move.operation;
      pass.pass = move.pass;
      out_.passes.push_back(pass);
    }
    return it->second;
  }

  void add(const Move& move) {
    const std::size_t book = booking(move);
    if (move.role != MoveRole::rapid && !(move.feed > 0))
      throw JobError(fmt::format("a cutting move of '{}' has no feed: set feed to more than 0",
                                 job_.operations.at(move.operation).name),
                     static_cast<int>(move.operation));
    if (move.region >= 0) return;  // the rings that clear it are moves of their own
    const Vec3 from{move.path.a.x, move.path.a.y, move.z0}, to{move.path.b.x, move.path.b.y, move.z1};
    link(from, book);
    const double run = move.path.length();
    Leg leg;
    leg.length = std::hypot(run, move.z1 - move.z0);
    leg.ceiling = (move.role == MoveRole::rapid ? machine_.rapid : move.feed) / 60;
    if (move.path.is_arc() && run > 0)
      leg.ceiling =
          std::min(leg.ceiling, std::sqrt(machine_.acceleration * move.path.radius) * leg.length / run);
    leg.role = move.role;
    leg.booking = book;
    if (leg.length > 1e-9) {
      leg.leaves = tangent_at(move, 0, run, leg.length);
      leg.arrives = tangent_at(move, run, run, leg.length);
      legs_.push_back(leg);
      at_ = to;
    }
  }

  void link(const Vec3& to, std::size_t book) {
    if (!placed_) {
      placed_ = true;
      at_ = {to.x, to.y, std::max(to.z, machine_.clearance)};
    }
    if (std::hypot(to.x - at_.x, to.y - at_.y) < 1e-6 && std::fabs(to.z - at_.z) < 1e-6) return;
    const double speed = machine_.rapid / 60;
    const double over = std::max({machine_.clearance, at_.z, to.z});
    const Vec3 points[] = {{at_.x, at_.y, over}, {to.x, to.y, over}, to};
    for (const Vec3& p : points) {
      const Leg leg = straight_leg(at_, p, speed, book);
      if (leg.length > 1e-9) legs_.push_back(leg);
      at_ = p;
    }
  }

  void retract() {
    if (!placed_ || legs_.empty()) return;
    const Vec3 up{at_.x, at_.y, std::max(at_.z, machine_.clearance)};
    const Leg leg = straight_leg(at_, up, machine_.rapid / 60, legs_.back().booking);
    if (leg.length > 1e-9) legs_.push_back(leg);
    at_ = up;
  }

  void finish_run() {
    const double a = machine_.acceleration;
    for (std::size_t i = 0; i < legs_.size(); ++i)
      legs_[i].entry = i == 0 ? 0 : corner_speed(legs_[i - 1], legs_[i], machine_);
    double exit = 0;
    for (std::size_t i = legs_.size(); i-- > 0;) {  // able to slow down in time
      legs_[i].entry = std::min(legs_[i].entry, std::sqrt(exit * exit + 2 * a * legs_[i].length));
      exit = legs_[i].entry;
    }
    for (std::size_t i = 0; i + 1 < legs_.size(); ++i)  // able to have got that fast
      legs_[i + 1].entry =
          std::min(legs_[i + 1].entry, std::sqrt(legs_[i].entry * legs_[i].entry + 2 * a * legs_[i].length));
    for (std::size_t i = 0; i < legs_.size(); ++i) {
      const Spent spent = time_of(legs_[i], i + 1 < legs_.size() ? legs_[i + 1].entry : 0, a);
      PassTime& pass = out_.passes[legs_[i].booking];
      if (legs_[i].role == MoveRole::rapid) {
        pass.crossing += spent.seconds;
        continue;
      }
      const bool entering = legs_[i].role == MoveRole::ramp || legs_[i].role == MoveRole::plunge;
      (entering ? pass.entering : pass.cutting) += spent.seconds;
      pass.length += legs_[i].length;
      pass.at_feed += spent.at_ceiling;
    }
    legs_.clear();
  }

  const Job& job_;
  const Plan& plan_;
  const Machine& machine_;
  PlanTime out_;
  std::map<std::pair<std::uint32_t, std::uint32_t>, std::size_t> bookings_;
  std::vector<Leg> legs_;
  Vec3 at_{};
  bool placed_ = false;
};

}  // namespace

PlanTime plan_time(const Job& job, const Plan& plan, const Machine& machine) {
  check(machine);
  return Clock(job, plan, machine).time();
}

}  // namespace ovolo
