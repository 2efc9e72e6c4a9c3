#pragma once
#include "io/scene/node.hpp"
#include "io/scene/reading.hpp"
#include "sim/job.hpp"

namespace ovolo::io {

/// The whole scene. Throws SceneError.
Job read_job(const Node& root, const std::string& name, const std::filesystem::path& folder,
             const FileInHand* in_hand = nullptr);

// One reader for each table of a scene. Each records what is wrong in `reading` and goes on. What could not
// be read is left empty (a bit without a profile, a contour without segments), so that later tables can still
// refer to it by name without a second complaint.

Stock read_stock(const Node& node, Reading& reading);
/// `stock` gives the height of a cutting wall whose length is not told. With `stand_ins` a bit may say
/// `instead_of_kept = true`; the names of those that do are added to it.
std::vector<Bit> read_bits(const Node& node, const Stock& stock, Reading& reading,
                           std::vector<std::string>* stand_ins = nullptr);
std::vector<NamedContour> read_contours(const Node& node, const Stock& stock, Reading& reading);
/// Refers to the job's stock, bits and contours.
std::vector<Operation> read_operations(const Node& node, const Job& job, Reading& reading);
class Table;
/// The keys of a program operation but for `keep` and `wanted`; runs the program when nothing else is wrong.
/// What is wrong in it is told at its own line and column. Refers to the job's stock, bits and contours.
void read_program_operation(Table& table, Operation& op, const Job& job);
/// Depth, offset, feed and speed of the operation as its program really makes them on its contour.
void set_program_path(Operation& op, const Job& job);
Machine read_machine(const Node& node, Reading& reading);
Material read_material(const Node& node, Reading& reading);
/// Sets what the table says; a rates file it names is read too.
void read_sanding(const Node& node, SandRates& rates, SandLimits& limits, Reading& reading);
/// Refers to the job's operations and contours.
ShopRates read_shop(const Node& node, const Job& job, Reading& reading);
/// Parts that one run makes: the copies of the first edge operation's contour.
int parts_of(const Job& job);
/// The rates in a file that `sand calibrate` wrote. Throws SceneError.
SandRates read_sand_rates(const std::filesystem::path& path);
SandRates parse_sand_rates(std::string_view text, const std::string& name);
/// `errors` comes in with what holds where the table says nothing.
SettingErrors read_errors(const Node& node, SettingErrors errors, Reading& reading);
/// Refers to the job's stock and operations.
SheetShape read_surface(const Node& node, const Job& job, Reading& reading);
Variation read_variation(const Node& node, Reading& reading);
Wishes read_wishes(const Node& node, const Stock& stock, Reading& reading);

/// A chain of lines and arcs: a list of points [x, y], or { to = [x, y] } with `bulge`, with `center` and
/// `turn`, or with `radius` and `turn`. Empty after a fault. `item` says what it lists.
std::vector<Segment> read_chain(const Node::List& list, const std::string& what, Reading& reading);

}  // namespace ovolo::io
