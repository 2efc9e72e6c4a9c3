# Draws the DXF files of this folder with ezdxf (Debian's python3-ezdxf 0.18.1). Run once; the files are kept.
import math
import ezdxf

def new(units=4, version="R2010"):
    doc = ezdxf.new(version, setup=False)
    doc.header["$INSUNITS"] = units
    return doc, doc.modelspace()

# One layer each, so that every entity's geometry is known by itself; all closed but 'SPLINE' and 'OPEN'.
doc, m = new()
m.add_lwpolyline([(50, 20, 0), (250, 20, math.tan(math.pi / 8)), (270, 40, 0), (270, 140, math.tan(math.pi / 8)),
                  (250, 160, 0), (50, 160, math.tan(math.pi / 8)), (30, 140, 0), (30, 40, math.tan(math.pi / 8))],
                 format="xyb", close=True, dxfattribs={"layer": "RIM"})
m.add_polyline2d([(0, 0, 1), (40, 0, 1)], format="xyb", close=True, dxfattribs={"layer": "ROUND"})
m.add_circle((100, 50), 12.5, dxfattribs={"layer": "CIRCLE"})
m.add_ellipse((10, 20), major_axis=(30, 40), ratio=0.4, dxfattribs={"layer": "ELLIPSE"})
# A slot of lines and arcs, in no order and running both ways.
for a, b in (((10, 0), (60, 0)), ((10, 20), (60, 20))):
    m.add_line(a, b, dxfattribs={"layer": "SLOT"})
m.add_arc((60, 10), 10, -90, 90, dxfattribs={"layer": "SLOT"})
m.add_arc((10, 10), 10, 90, 270, dxfattribs={"layer": "SLOT"})
# A clamped cubic spline and a rational quarter circle closed by two lines.
m.add_open_spline([(0, 0), (20, 60), (60, -40), (90, 30), (120, 0)], degree=3, dxfattribs={"layer": "SPLINE"})
m.add_rational_spline([(30, 0), (30, 30), (0, 30)], [1, math.sqrt(0.5), 1], degree=2, dxfattribs={"layer": "QUARTER"})
m.add_line((0, 30), (0, 0), dxfattribs={"layer": "QUARTER"})
m.add_line((0, 0), (30, 0), dxfattribs={"layer": "QUARTER"})
# Half a disc drawn from below: in an entity's own plane with extrusion (0, 0, -1) X runs the other way.
m.add_arc((-20, 0), 8, 0, 180, dxfattribs={"layer": "BELOW", "extrusion": (0, 0, -1)})
m.add_line((12, 0), (28, 0), dxfattribs={"layer": "BELOW"})
m.add_lwpolyline([(0, 0), (30, 0), (30, 10)], dxfattribs={"layer": "OPEN"})
m.add_text("not a contour", dxfattribs={"layer": "RIM"})
doc.saveas("entities.dxf")

# Blocks: a square of 10 within a turned, scaled and mirrored copy within another, drawn in inches; an array of 3 x 2.
doc, m = new(units=1)
square = doc.blocks.new("SQUARE", base_point=(1, 1))
square.add_lwpolyline([(1, 1), (11, 1), (11, 11), (1, 11)], close=True, dxfattribs={"layer": "0"})
square.add_circle((6, 6), 2, dxfattribs={"layer": "HOLE"})
pair = doc.blocks.new("PAIR")
pair.add_blockref("SQUARE", (5, 5), dxfattribs={"xscale": 2, "yscale": 2, "rotation": 30, "layer": "0"})
m.add_blockref("PAIR", (100, 0), dxfattribs={"xscale": -1, "layer": "TURNED"})
m.add_blockref("SQUARE", (0, 0), dxfattribs={"layer": "ARRAY", "column_count": 3, "row_count": 2,
                                             "column_spacing": 20, "row_spacing": 30})
m.add_blockref("SQUARE", (0, 200), dxfattribs={"layer": "FLAT", "xscale": 3, "yscale": 1})
doc.saveas("blocks_inch.dxf")

# Gaps: 4 um (joined) and 0.35 mm (reported); a piece drawn twice; no unit in the header.
doc, m = new(units=0, version="R12")
m.add_line((0, 0), (100, 0), dxfattribs={"layer": "NEAR"})
m.add_line((100, 0.004), (100, 50), dxfattribs={"layer": "NEAR"})
m.add_line((100, 50), (0, 50), dxfattribs={"layer": "NEAR"})
m.add_line((0, 50), (0, 0), dxfattribs={"layer": "NEAR"})
m.add_line((100, 50), (0, 50), dxfattribs={"layer": "NEAR"})
m.add_line((0, 0), (100, 0), dxfattribs={"layer": "GAP"})
m.add_line((100.35, 0), (100, 50), dxfattribs={"layer": "GAP"})
m.add_line((100, 50), (0, 0), dxfattribs={"layer": "GAP"})
doc.saveas("gaps_r12.dxf")

# A half profile of a bit, closed along its axis, and a whole silhouette, both with the tip down at (50, 10).
doc, m = new()
R, W, a = 5.0, 3.62, 0.1942
h0 = R - W
c = a + math.sqrt(R * R - h0 * h0)
# Centre of the curve at r = c, h = -h0; from (a, 0) up to the point upright above the centre... the bit flares out.
start = math.atan2(0 + h0, a - c)
profile = [(50, 10, 0), (50 + a, 10, math.tan((math.pi / 2 - start) / 4)), (50 + c, 10 + W, 0), (50 + c, 20, 0), (50, 20, 0)]
m.add_lwpolyline(profile, format="xyb", close=True, dxfattribs={"layer": "HALF"})
mirror = [(100 - x, y, 0) for x, y, b in profile[:4]]
left = [(100 - x, y) for x, y, b in profile]
bulge = profile[1][2]
whole = [(50 - a, 10, 0), (50 + a, 10, bulge), (50 + c, 10 + W, 0), (50 + c, 20, 0), (50 - c, 20, 0), (50 - c, 10 + W, bulge)]
m.add_lwpolyline(whole, format="xyb", close=True, dxfattribs={"layer": "WHOLE"})
doc.saveas("round5.dxf")
