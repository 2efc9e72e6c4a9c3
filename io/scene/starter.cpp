#include "io/scene/starter.hpp"

namespace ovolo::io {

std::string_view starter_scene() {
  return R"(# A scene for ovolo: the sheet, the bits, the lines to follow, and what is done along them.
# Everything behind a # is a remark. Run it with:   ovolo cut THIS_FILE.toml --out result

title = "My first edge"
units = "mm"                       # what bare numbers are in: "mm" or "inch"
# Any length may also be a text with its own unit: "6.35 mm", "1/4 in", "1-1/2 in", "0.177in", "15 thou".

# ---- The sheet. Its lower left corner is the origin, X to the right, Y away from you. ----
[stock]
size = [400, 250]                  # width and height
spoilboard = 1                     # how far below the sheet a bit may run; 1 mm when left out
layers = [                         # from the top face down; a plain board has one
  { name = "cap",  thickness = 3.1, color = "#1f4e3d" },   # color is #rrggbb
  { name = "core", thickness = 6.5, color = "#f2ead7" },
  { name = "back", thickness = 3.1, color = "#1f4e3d" } ]

# ---- The bits. Each has a name of your choice, [bits.NAME], and a form. ----
[bits.round5]
form = "point_roundover"           # two quarter rounds that meet in a point, ground or worn blunt
radius = 5                         # of the round
working_depth = 3.62               # measured from the blunt tip up to where the curve ends
# tip_flat = 0.39                  # or: how wide the blunt tip is, across
# cutting_diameter = 10            # and: across the widest cutting edges. Any of the three will do; two are better.
reading_error = 0.03               # how well you can read them; 0.03 mm when left out
flutes = 2                         # cutting edges; 2 when left out
cutting_length = 12                # how deep it can cut before the shank; not checked when left out
shank_diameter = 6
max_spindle = 24000                # the highest speed marked on the bit, rpm

[bits.mill6]
form = "straight"
diameter = 6
# The other forms:
#   ball      diameter
#   chamfer   angle (from the bit's axis, degrees), cutting_diameter, tip_flat (across the small end; 0 when left out)
#   cove      radius, tip_flat
#   ovolo     radius, tip_flat, foot_fillet (level step at the foot), face_fillet (upright step at the face)
#   bead      radius, tip_flat, fillet (both steps alike)
#   ogee      radius (the round), cove_radius (the hollow), tip_flat, foot_fillet, face_fillet
# Undercut forms, which go in and out from the side (lead_in or overrun below):
#   bullnose      radius, neck_diameter (across its narrowest, in the middle), land (upright, above and below the round)
#   bottom_round  radius, neck_diameter, land: rounds the lower arris
#   dovetail      angle (from the bit's axis), cutting_diameter (at the tip), height (of the flank)
#   t_slot        cutting_diameter, head_height, neck_diameter
#   finger_pull   radius (of the bulb), cutting_diameter, neck_diameter, lip_radius
# Of your own:
#   drawn     chain: the half profile as points [r, h], r from the axis, h up from the tip, beginning with [0, 0].
#             chain = [[0, 0], [2, 0], { to = [6, 4], center = [6, 0], turn = "right" }]

# ---- The lines to follow. Each has a name of your choice, [contours.NAME], and one shape. ----
[contours.outline]
rectangle = { center = [200, 125], size = [300, 180], corner_radius = 15 }

[contours.hole]
circle = { center = [200, 60], diameter = 9 }    # or radius
at = [[-120, 0], [120, 0]]         # copies: the shape is cut once for each shift [x, y]; once as drawn when left out

[contours.panel]
# Points in order. A piece is a straight line unless its end is given as one of
#   { to = [x, y], bulge = 0.4 }                              (tangent of a quarter of the arc's angle; + turns left)
#   { to = [x, y], radius = 20, turn = "left" }               (or "right"; half a turn at most)
#   { to = [x, y], center = [x, y], turn = "left" }
polyline = [
  [110, 110],
  [290, 110],
  { to = [290, 170], bulge = 0.3 },
  [110, 170],
  { to = [110, 110], bulge = 0.3 } ]
closed = true                      # false leaves it open; true when left out
# Or take a line out of a drawing that lies beside this file:
#   svg = "sign.svg", with id = "outline" or layer = "cut" to say which line
#   dxf = "sign.dxf", with layer = "CUT" and, where the file does not tell them, units = "mm"

# ---- What is done, in this order. Each needs a name, a kind, a bit, a contour and a depth. ----
[[operations]]
name = "sink the panel"
kind = "pocket"                    # clear everything inside the contour
bit = "mill6"
contour = "panel"
depth = 3.6                        # below the face
passes = 2                         # how many, of equal depth; 1 when left out
offset = 0                         # leave this much standing at the wall; 0 when left out
stepover = 2.4                     # between neighbouring rounds; 0.4 of the bit's level tip when left out
feed = "2400 mm/min"               # or "60 in/min", or a bare number in units per minute
plunge_feed = "600 mm/min"         # straight down; the feed when left out
spindle = 16000                    # rpm
ramp = 25                          # length of the slope into each pass; 0 (straight down) when left out

[[operations]]
name = "round the rim"
kind = "edge"                      # follow the contour with a moulding bit, and measure the edge it leaves
bit = "round5"
contour = "outline"
keep = "inside"                    # which side is the part: inside or outside; of an open contour left or right
offset = 0.4                       # the bit's axis this far off the line, away from the part; 0 when left out
depth = 3.55
passes = [2.4, 3.55]               # depths from shallow to deep; the last one is the depth. Or a count, or
                                   # { balanced = 2, finish = 0.2 }: equal work on the part's side, then a
                                   # light last pass; with waste = true the waste's side counts as well
feed = "1500 mm/min"
spindle = 18000
ramp = 20
overlap = 5                        # how far it runs on past its start; 0 when left out
start = [200, 35]                  # where it begins: a place near the line, or a length along it
direction = "conventional"         # or "climb"
lead_in = 0                        # radius of a quarter circle onto the line; 0 when left out. An undercut bit
                                   # leaves on one too
# overrun = 20                     # an open line's path begins and ends this far beyond its ends; 0 when left out
corner = "round"                   # how the path turns at sharp outer corners: "round" or "mitre"
# wanted = { radius = 5 }          # the round you want; the bit's own form when left out

[[operations]]
name = "holes"
kind = "cut_out"                   # follow the contour with the side of the bit, through the sheet; here
                                   # `offset` leaves that much standing on the part
bit = "mill6"
contour = "hole"
keep = "outside"
depth = 13.2                       # the sheet's thickness when left out
passes = 3
feed = "1200 mm/min"
spindle = 16000
ramp = 6

[[operations]]
name = "cut out"
kind = "cut_out"
bit = "mill6"
contour = "outline"
keep = "inside"
depth = 13.2
passes = 3
feed = "2400 mm/min"
spindle = 16000
ramp = 40
tabs = { count = 4, width = 6, height = 2 }      # bridges that hold the part; none when left out

# The sheet is turned over: what was below is up for all later operations, whose depths count from there. Their
# contours stay where they are, as seen from the top face.
# [[operations]]
# name = "turn it over"
# kind = "turn"
# about = "y"                        # over its left or right side; "x" over its front or back
# registration = [0.1, 0]            # how far it then lies from its place, in the machine's X and Y; [0, 0] when left out
# angle = 0                          # and how far askew about the machine's corner, degrees; 0 when left out
# time = 60                          # seconds it takes; 60 when left out

# A machine program (RS274/NGC) in place of operations of the scene's own; its real path is cut and measured.
# [[operations]]
# name = "rim by program"
# kind = "program"
# program = "rim.ngc"                # beside this file
# tools = { 1 = "round5" }           # which bit each tool number is; or, with its entries in the tool table,
#                                    # { 1 = { bit = "round5", length = 52.4, diameter = 0.8 } }
# place = [50, 35]                   # where the program's zero lies on the sheet
# zero = "face"                      # what its Z0 is: "face" or "spoilboard"
# contour = "outline"                # the edge to measure; none when left out
# keep = "inside"
# bit = "round5"                     # which tool makes that edge; the only one when left out
# in_spindle = 1                     # tool in the spindle at the start; the only one, or 0 (none), when left out
# start = [0, 0, 20]                 # where the spindle stands at the start, from the zero
# block_delete = false               # true leaves out the lines that begin with a slash
# parameters = { 100 = 3.55 }        # values of numbered parameters at the start
# machine_coordinates = { zero = [310, 205, -82], g55 = [610, 205, -82], home = [0, 0, 0] }    # for G10, G28, G53, G55

# ---- What you ask of every edge; each has the value shown when left out. ----
[wishes]
lip = 0.015                        # highest step at the face
band = 0.1                         # widest level ledge at the foot
face_break = 15                    # largest angle between the face and the curve, degrees
wall_break = 25                    # largest angle between the curve and the wall, degrees
hidden = ["core"]                  # layers that must not show on the rounded surface; none when left out

# ---- What the shop knows about itself: for loads, minutes and cost. The values shown hold when left out, and
# ---- most of them are guesses: put your own in their place.
[machine]
acceleration = 1000                # mm/s2 along the path
rapid = "12 m/min"
junction = 0.02                    # how far it may round a corner to keep moving
clearance = 5                      # height above the face at which it crosses
bit_change = 30                    # seconds
runout = 0.02                      # total indicator reading at the cutting edge

[material]
specific_energy = [15, 40, 80]     # N/mm2: low, likely, high. Or a name that is known: "particleboard", "mdf",
                                   # "plywood", "softwood", "hardwood" or "plastic" under `name`
# chip_load = [0.03, 0.1]          # least and most per tooth that suit you

[sanding]
handling = [10, 20, 40]            # seconds per part: low, likely, high
per_metre = [10, 20, 40]           # seconds per metre of edge and grit
per_mm3 = [0.02, 0.05, 0.12]       # seconds per mm3 taken off with P120
# rates = "sanding.toml"           # or the rates fitted to your own timings (ovolo sand calibrate)
grits = [120, 180]                 # coarse to fine; the last one finishes
feel = 0.01                        # feed marks lower than this are left alone

[shop]
machine_per_hour = 60              # router with its operator
hand_per_hour = 40                 # sanding
abrasive_per_sheet = 1
set_up_minutes = 20                # once per batch
batch = 50                         # parts

# ---- How far the machine, your zeroing and your caliper may be off: one standard deviation each. For `ovolo dial`,
# ---- `ovolo fit` and `ovolo batch`; the values shown hold when left out.
[errors]
zero_on = "face"                   # what Z zero is set on: "face" or "spoilboard"
z = 0.03                           # setting Z zero, and Z itself
xy = 0.02                          # the axis against the line
runout = 0.02                      # as read with an indicator at the bit; the machine's when left out
thickness = 0.1                    # of the sheet; matters only when zero is set on the spoilboard
readings = 0.03                    # a caliper reading of a bit, where the reading does not say

[batch]
z_repeat = 0.01                    # of Z from part to part within one set-up
xy_repeat = 0.01                   # of the axis, likewise
wear = 0.005                       # working depth lost in 100 m of edge
wear_spread = 0.4                  # how far that may be off, as a part of it
run_before = 0                     # metres of edge cut since the bit was read
layers = 0                         # of each layer's thickness from sheet to sheet
# parts_per_set_up = 4             # parts between two zeroings; those of one sheet when left out

# ---- How the sheet on this machine differs from a flat one of nominal thickness; `ovolo cut` honours it. ----
# [surface]
# thickness = [[50, 50, 12.7], [200, 50, 12.6], [350, 50, 12.7], [50, 125, 12.8], [350, 125, 12.7],
#              [50, 200, 12.7], [200, 200, 12.9], [350, 200, 12.8]]    # [x, y, reading], at 8 places or more
# spoilboard = [[0, 0, 0], [400, 0, 0.05], [0, 250, 0.1]]              # its top above its own zero, 3 places or more
# tilt = [0.1, 0]                    # how much the face rises over the sheet's whole width and height
# bow = { height = 0.3, along = 0 }  # the middle above the ends; along: degrees from X
# lifts = [ { at = [60, 60], height = 0.2, radius = 80, operation = "cut out", pass = 2 } ]    # comes up from then on
# zero = [0, 0]                      # where Z zero is set

# ---- Other ways to do the same job, for `ovolo compare`: each changes operations by name. ----
# [[strategies]]
# name = "one pass"
# operations = [ { name = "round the rim", passes = 1, feed = "900 mm/min" } ]
)";
}

}  // namespace ovolo::io
