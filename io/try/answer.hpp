#pragma once
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "io/report/html.hpp"
#include "io/try/edit.hpp"
#include "sim/job.hpp"
#include "sim/measure/edge.hpp"
#include "sim/path/move_index.hpp"
#include "sim/path/plan.hpp"
#include "sim/stop.hpp"

namespace ovolo::io {

/// A scene as it stood when the page was opened; nothing of it changes afterwards, so requests do not disturb
/// each other.
struct Sample {
  std::string text;  ///< TOML
  std::string file;  ///< as it was named, for messages
  std::filesystem::path folder;
};

/// The close-up that a page has room for: {"narrow": true, "unit": "mm" or "in"} of a request.
struct PictureRoom {
  bool narrow = false;  ///< a phone's width: square, with large short labels in one unit
  bool inch = false;    ///< that unit
};

/// Chooses the place of an edge to show, and draws it.
using CloseUpMaker = std::function<EdgeView(const Job&, const Plan&, const MoveIndex&, const EdgeMeasures&,
                                            const PictureRoom& room, const StopCheck& stop)>;

/// Who asks: {"page": text of 64 bytes at most, "turn": whole number} of a request, ""  and 0 where they are
/// missing. Of one page's questions the one with the greatest turn counts.
struct Asker {
  std::string page;
  std::uint64_t turn = 0;
};
Asker asker_of(const std::string& request);

/// What the page asks, as JSON: {"edits": [{"path", "value"}], "edge": which edge operation, from 0,
/// "z_error": mm deeper than set}. Throws std::invalid_argument on anything else.
///
/// Each answer is JSON: {"ok": true, ...} or {"ok": false, "faults": [{"path", "text"}]}, `path` of the edit
/// that is at fault, or "".

/// One straight cut of the edge: section, measures, verdict and the scene's numbers. No carving:
/// microseconds. Of jobs with undercut bits, turned sheets or one that is not flat the edge as the whole job
/// leaves it, at the worst of a few places (`whole_cut_json`): some milliseconds.
std::string answer_cut(const Sample& sample, const std::string& request);
/// Depths against offsets: for each setting the wish that breaks, as one letter (`window_letter`,
/// `undercut_window`), or {"ok", "none"}: why there is no such map. What `stop` throws ends it.
std::string answer_window(const Sample& sample, const std::string& request, const StopCheck& stop = {});
/// The setting with the best chance by the scene's errors, {"ok", "dial"}: `setting_json`, or null for an
/// edge that a program makes. Takes some tenths of a second; what `stop` throws ends it.
std::string answer_best(const Sample& sample, const std::string& request, const StopCheck& stop = {});
/// What feed and spindle speed make of the edge, equal to what `cut` reports: {"ok", "passes" (loads of its
/// passes), "marks" (null where feed or speed is missing), "time" (of the whole job; null where an operation
/// has no feed), "warnings" (texts)}, as in the report's "shop" but for the passes' volumes. What `stop`
/// throws ends it.
std::string answer_shop(const Sample& sample, const std::string& request, const StopCheck& stop = {});
/// The whole job planned and measured: report, sections along every edge, the worst place's station and
/// picture (left out with "picture": false). What `stop` throws ends it.
std::string answer_whole(const Sample& sample, const std::string& request, const CloseUpMaker& close_up,
                         const StopCheck& stop = {});

/// The close-up by itself, {"ok", "picture"}, at the worst of a few places: of jobs with undercut bits or
/// turned sheets it takes longest, and the page asks for it last. What `stop` throws ends it.
std::string answer_picture(const Sample& sample, const std::string& request, const CloseUpMaker& close_up,
                           const StopCheck& stop = {});

/// The edit that makes the request's edge use a file dropped beside the scene, which need not be there yet:
/// its contour a drawing, or with `tool` (the program's number for the bit) its passes a program, for which
/// the edits of that operation go. Throws SceneError, EditError or JobError where the scene cannot be read or
/// planned with `text` in that file, or without it.
Edit edit_for_dropped(const Sample& sample, const std::string& request, const std::string& name,
                      const std::string& text, std::optional<int> tool);

/// What is saved.
struct EditedScene {
  std::string text;
  std::vector<std::string> own_bits;  ///< names of the kept bits that were changed and now stand in the text
  std::string bits_file;              ///< where those are kept, as the scene names it
};

/// The scene's text with the request's edits, checked by reading it. Throws SceneError, EditError.
EditedScene edited_scene(const Sample& sample, const std::string& request);

}  // namespace ovolo::io
