#include "io/try/answer.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <numbers>
#include <stdexcept>

#include "io/json_text.hpp"
#include "io/report/decimals.hpp"
#include "io/report/page.hpp"
#include "io/report/report.hpp"
#include "io/report/shop.hpp"
#include "io/report/straight_cut.hpp"
#include "io/report/undercut_window.hpp"
#include "io/report/walk.hpp"
#include "io/report/window.hpp"
#include "io/scene/reading.hpp"
#include "io/scene/scene.hpp"
#include "io/try/edit.hpp"
#include "io/try/kept_bits.hpp"
#include "io/try/whole_cut.hpp"
#include "sim/advise/dial.hpp"
#include "sim/error.hpp"
#include "sim/measure/edge.hpp"
#include "sim/measure/quick_look.hpp"
#include "sim/measure/section.hpp"
#include "sim/shop/estimate.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo::io {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t kMostEdits = 200;
constexpr double kMostZError = 5;  // mm
constexpr std::size_t kLongestPage = 64;
constexpr std::size_t kAllStations = 1'000'000'000;

struct Request {
  std::vector<Edit> edits;
  std::size_t edge = 0;
  double z_error = 0;
  bool picture = true;
  PictureRoom room;
};

Request read_request(const std::string& text) {
  const auto wrong = [](const char* what) { throw std::invalid_argument(what); };
  const Json json = json_of(text);
  if (!json.is_object()) wrong("the request is not a JSON object");
  Request request;
  if (const auto edits = json.find("edits"); edits != json.end()) {
    if (!edits->is_array() || edits->size() > kMostEdits) wrong("`edits` is not a list, or too long a one");
    for (const Json& e : *edits) {
      if (!e.is_object() || !e.contains("path") || !e.contains("value") || !e["path"].is_string() ||
          !e["value"].is_string())
        wrong("an edit is not {\"path\": text, \"value\": text}");
      request.edits.push_back({e["path"].get<std::string>(), e["value"].get<std::string>()});
    }
  }
  if (const auto edge = json.find("edge"); edge != json.end()) {
    if (!edge->is_number_unsigned()) wrong("`edge` is not a whole number from 0 on");
    request.edge = edge->get<std::size_t>();
  }
  if (const auto picture = json.find("picture"); picture != json.end()) {
    if (!picture->is_boolean()) wrong("`picture` is neither true nor false");
    request.picture = picture->get<bool>();
  }
  if (const auto narrow = json.find("narrow"); narrow != json.end()) {
    if (!narrow->is_boolean()) wrong("`narrow` is neither true nor false");
    request.room.narrow = narrow->get<bool>();
  }
  if (const auto unit = json.find("unit"); unit != json.end()) {
    if (*unit != "mm" && *unit != "in") wrong("`unit` is neither \"mm\" nor \"in\"");
    request.room.inch = *unit == "in";
  }
  if (const auto z = json.find("z_error"); z != json.end()) {
    if (!z->is_number() || !(std::abs(z->get<double>()) <= kMostZError))
      wrong("`z_error` is not between -5 and 5 mm");
    request.z_error = z->get<double>();
  }
  return request;
}

Json fault(const std::string& path, const std::string& text) { return {{"path", path}, {"text", text}}; }

std::string refused(const Json& faults) { return json_line({{"ok", false}, {"faults", faults}}); }

// Operations whose edge is measured.
bool makes_edge(const Operation& op) {
  return op.kind == OperationKind::edge || (op.kind == OperationKind::program && op.contour >= 0);
}

// The job of a request: the sample's text, edited and read.
class Edited {
 public:
  Edited(const Sample& sample, Request request, const FileInHand* in_hand = nullptr)
      : sample_(sample), request_(std::move(request)), in_hand_(in_hand) {}

  void read() {
    text_ = edit_scene(with_kept_bits(sample_, request_.edits).text, sample_.file, request_.edits);
    job_ = parse_scene(text_, sample_.file, sample_.folder, in_hand_);
    for (std::size_t i = 0; i < job_.operations.size(); ++i)
      if (makes_edge(job_.operations[i])) edges_.push_back(i);
    if (request_.edge >= edges_.size())
      throw EditError(
          "", edges_.empty() ? "the scene has no edge operation and no program with a contour: nothing to try"
                             : "no such edge in the scene");
    if (request_.z_error == 0) return;
    as_set_ = settings_json(job_);
    // The machine's zero is off: every pass of every operation runs that much deeper.
    Operation& op = operation();
    op.depth += request_.z_error;
    for (double& pass : op.passes) pass += request_.z_error;
    for (ProgramMotion& m : op.program) {
      m.z0 -= request_.z_error;
      m.z1 -= request_.z_error;
    }
    if (!(op.passes.empty() ? op.depth > 1e-3 : op.passes.front() > 1e-3))
      throw EditError("z_error", "with this error the bit does not reach the sheet; make it less");
  }

  Operation& operation() { return job_.operations[edges_[request_.edge]]; }
  const Bit& bit() { return job_.bits[operation().bit]; }
  Job& job() { return job_; }
  const std::string& text() const { return text_; }
  /// The settings as they are set, whatever the error in Z makes of them.
  std::string settings() const { return as_set_.empty() ? settings_json(job_) : as_set_; }
  const PictureRoom& room() const { return request_.room; }
  bool picture() const { return request_.picture; }
  std::size_t index() const { return edges_[request_.edge]; }

  // A fault at the edit whose value stands there, or the last one in the table that is at fault as a whole.
  Json faults(const SceneError& error) const {
    std::vector<EditPlace> places;
    try {
      places = edit_places(text_, sample_.file, request_.edits);
    } catch (const SceneError&) {
      places.clear();
    }
    Json out = Json::array();
    for (const Fault& f : error.faults()) {
      std::string path;
      const Place at{f.source.line, f.source.column};
      const auto look = [&](auto is_of) {
        for (std::size_t i = places.size(); path.empty() && i > 0; --i)
          if (is_of(places[i - 1])) path = request_.edits[i - 1].path;
      };
      if (f.source.file == sample_.file) {
        look([&](const EditPlace& p) { return p.value <= at && at <= p.last; });
        look([&](const EditPlace& p) { return p.table == at; });
      }
      out.push_back(fault(path, path.empty() ? f.str() : f.text));
    }
    return out;
  }

 private:
  const Sample& sample_;
  Request request_;
  const FileInHand* in_hand_;
  std::string text_, as_set_;
  Job job_;
  std::vector<std::size_t> edges_;
};

// Runs `work` on the request's job and turns what is wrong with it into an answer.
template <class Work>
std::string answered(const Sample& sample, const std::string& request, Work work) {
  Edited edited(sample, read_request(request));
  try {
    edited.read();
    return json_line(work(edited));
  } catch (const SceneError& e) {
    return refused(edited.faults(e));
  } catch (const EditError& e) {
    return refused(Json::array({fault(e.path(), e.what())}));
  } catch (const JobError& e) {
    const bool known =
        e.operation >= 0 && static_cast<std::size_t>(e.operation) < edited.job().operations.size();
    const std::string name =
        known ? edited.job().operations[static_cast<std::size_t>(e.operation)].name + ": " : "";
    return refused(Json::array({fault("", name + e.what())}));
  }
}

Json optional_mm(const std::optional<double>& v) { return v ? Json(page_mm(*v)) : Json(nullptr); }
Json optional_degrees(const std::optional<double>& v) {
  return v ? Json(page_mm(*v * 180 / std::numbers::pi)) : Json(nullptr);
}

Json station_json(const SectionMeasures& m) {
  Json exposure = Json::array();
  for (const double v : m.exposure) exposure.push_back(page_mm(v));
  return {{"kind", 0},
          {"lip", optional_mm(m.lip)},
          {"band", optional_mm(m.band)},
          {"face_break", optional_degrees(m.face_break)},
          {"wall_break", optional_degrees(m.wall_break)},
          {"foot_depth", optional_mm(m.foot_depth)},
          {"curve_length", page_mm(m.curve_length)},
          {"round_width", page_mm(m.round_width)},
          {"blend", page_mm(m.blend)},
          {"exposure", exposure}};
}

// Progress that is told to nobody, but ends the work when it is time.
class Stopping : public Progress {
 public:
  explicit Stopping(const StopCheck& stop) : stop_(stop) {}
  void report(std::string_view, double) override {
    if (stop_) stop_();
  }

 private:
  const StopCheck& stop_;
};

}  // namespace

std::string answer_cut(const Sample& sample, const std::string& request) {
  return answered(sample, request, [](Edited& edited) {
    const Operation& op = edited.operation();
    if (op.depth <= 0) {
      const std::string where = fmt::format("operations/{}/place/0", edited.index());
      const char* what =
          "so placed, the program never passes the contour below the face: set where its zero lies on the "
          "sheet, or check its tool";
      return Json{{"ok", false},
                  {"faults", Json::array({fault(where, what)})},
                  {"settings", json_of(edited.settings())}};
    }
    Json out{{"ok", true}, {"settings", json_of(edited.settings())}, {"operation", edited.index()}};
    if (needs_voxels(edited.job()) || !edited.job().shape.flat()) {
      out.update(json_of(whole_cut_json(edited.job(), static_cast<std::uint32_t>(edited.index()))));
      return out;
    }
    const StraightCut cut(edited.job(), op);
    const Section section = cut.section(op.depth, op.offset);
    const SectionMeasures m = cut.measures(section);
    std::vector<Warning> warnings;
    const Verdict verdict = cut.verdict(m, static_cast<std::uint32_t>(edited.index()), warnings);
    Json notes = Json::array();
    for (const Warning& w : warnings) notes.push_back(w.text);
    out.update(Json{{"wanted", json_of(wanted_json(cut.wanted()))},
                    {"pieces", json_of(section_json(section))},
                    {"station", station_json(m)},
                    {"verdict", {{"good", verdict.good}, {"text", verdict.text}}},
                    {"warnings", notes}});
    return out;
  });
}

std::string answer_window(const Sample& sample, const std::string& request, const StopCheck& stop) {
  return answered(sample, request, [&](Edited& edited) {
    const Operation& op = edited.operation();
    if (op.depth <= 0) throw EditError("", "the program never passes the contour below the face");
    const auto index = static_cast<std::uint32_t>(edited.index());
    if (const std::string reason = no_window(edited.job(), op); !reason.empty())
      return Json{{"ok", true}, {"none", reason}};
    const bool undercut = edited.bit().profile.undercut();
    Json out{{"ok", true}};
    out.update(json_of(window_json(undercut ? undercut_window(edited.job(), index, stop)
                                            : make_window(edited.job(), index, op.depth, op.offset),
                                   nullptr)));
    return out;
  });
}

std::string answer_best(const Sample& sample, const std::string& request, const StopCheck& stop) {
  return answered(sample, request, [&](Edited& edited) {
    Json dial = nullptr;
    const auto index = static_cast<std::uint32_t>(edited.index());
    if (can_be_dialled(edited.operation()))
      dial = json_of(setting_json(dial_edge(edited.job(), index, edited.job().errors, stop)));
    return Json{{"ok", true}, {"dial", dial}};
  });
}

std::string answer_shop(const Sample& sample, const std::string& request, const StopCheck& stop) {
  return answered(sample, request, [&](Edited& edited) {
    const Job& job = edited.job();
    const auto operation = static_cast<std::uint32_t>(edited.index());
    const Plan plan = make_plan(job);
    const MoveIndex index(plan, job);
    const Measures measures = quick_look(job, plan, index, operation, kAllStations);
    if (stop) stop();
    const ShopEstimate shop = estimate_edge(job, plan, index, operation, measures.edges);
    const Json all = shop_json(job, shop);
    Json warnings = Json::array();
    for (const Warning& w : shop.warnings) warnings.push_back(w.text);
    const Json& finish = all.at("finish");
    return Json{{"ok", true},
                {"passes", all.at("passes")},
                {"marks", finish.empty() ? Json(nullptr) : finish.at(0).at("marks")},
                {"time", all.at("time")},
                {"warnings", warnings}};
  });
}

Asker asker_of(const std::string& request) {
  const Json json = json_of(request);
  Asker out;
  if (!json.is_object()) return out;
  if (const auto page = json.find("page"); page != json.end() && page->is_string())
    out.page = page->get<std::string>().substr(0, kLongestPage);
  if (const auto turn = json.find("turn"); turn != json.end() && turn->is_number_unsigned())
    out.turn = turn->get<std::uint64_t>();
  return out;
}

std::string answer_whole(const Sample& sample, const std::string& request, const CloseUpMaker& close_up,
                         const StopCheck& stop) {
  return answered(sample, request, [&](Edited& edited) {
    const Job& job = edited.job();
    const Plan plan = make_plan(job);
    const MoveIndex index(plan, job);
    Stopping stopping(stop);
    MeasureOptions options;
    options.progress = &stopping;
    const Measures measures = measure(job, plan, index, options);
    ReportInput in;
    in.job = &job;
    in.measures = &measures;
    Json picture = nullptr;
    Json edge = nullptr;
    std::vector<std::optional<std::size_t>> shown(measures.edges.size());
    for (std::size_t i = 0; i < measures.edges.size(); ++i) {
      const EdgeMeasures& e = measures.edges[i];
      if (e.operation != edited.index() || !edge.is_null()) continue;
      edge = i;
      if (!close_up || !edited.picture()) continue;
      const EdgeView view = close_up(job, plan, index, e, edited.room(), stop);
      shown[i] = view.station;
      if (!view.close_up.empty()) picture = "data:image/png;base64," + base64(view.close_up);
    }
    Json out{{"ok", true}, {"report", json_of(report_json(in))}, {"edge", edge}, {"picture", picture}};
    out["walk"] = json_of(walk_json(job, plan, index, measures, shown, 1500));
    return out;
  });
}

std::string answer_picture(const Sample& sample, const std::string& request, const CloseUpMaker& close_up,
                           const StopCheck& stop) {
  return answered(sample, request, [&](Edited& edited) {
    const Job& job = edited.job();
    const Plan plan = make_plan(job);
    const MoveIndex index(plan, job);
    const Measures some =
        quick_look(job, plan, index, static_cast<std::uint32_t>(edited.index()), quick_places(job));
    Json picture = nullptr;
    if (close_up && !some.edges.empty())
      if (const EdgeView view = close_up(job, plan, index, some.edges.front(), edited.room(), stop);
          !view.close_up.empty())
        picture = "data:image/png;base64," + base64(view.close_up);
    return Json{{"ok", true}, {"picture", picture}};
  });
}

Edit edit_for_dropped(const Sample& sample, const std::string& request, const std::string& name,
                      const std::string& text, std::optional<int> tool) {
  Request after = read_request(request);
  Edited before(sample, after);
  before.read();
  Edit edit{fmt::format("operations/{}/posted", before.index()),
            fmt::format("{}, {}", name, tool.value_or(1))};
  std::string replaced = fmt::format("operations/{}/", before.index());
  if (!tool) {
    const auto contour = static_cast<std::size_t>(before.operation().contour);
    edit = {fmt::format("contours/{}/drawing", before.job().contours[contour].id), name};
    replaced = edit.path;
  }
  std::erase_if(after.edits, [&](const Edit& e) { return e.path.starts_with(replaced); });
  after.edits.push_back(edit);
  after.z_error = 0;
  const FileInHand in_hand{(sample.folder / name).string(), text};
  Edited with(sample, std::move(after), &in_hand);
  with.read();
  make_plan(with.job());
  return edit;
}

EditedScene edited_scene(const Sample& sample, const std::string& request) {
  const Request r = read_request(request);
  WithKeptBits ready = with_kept_bits(sample, r.edits);
  EditedScene out{edit_scene(ready.text, sample.file, r.edits), std::move(ready.written),
                  std::move(ready.bits_file)};
  parse_scene(out.text, sample.file, sample.folder);
  return out;
}

}  // namespace ovolo::io
