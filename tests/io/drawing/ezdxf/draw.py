# Draws odd but proper DXF files with ezdxf into a folder and says in expected.json what stands on each layer:
# its area (closed) or length, and its box, worked out from the shapes themselves or, for splines, from
# ezdxf's own points on the curve. Usage: draw.py FOLDER
import json
import math
import sys

import ezdxf
from ezdxf.math import Matrix44, Vec3

FOLDER = sys.argv[1]
EXPECTED = []
SQUARE = [(0, 0), (10, 0), (10, 10), (0, 10)]
STADIUM = [(0, 0, 0), (30, 0, 1), (30, 10, 0), (0, 10, 1)]


def new(version, units=4):
    doc = ezdxf.new(version, setup=False)
    doc.header["$INSUNITS"] = units
    return doc, doc.modelspace()


def save(doc, name):
    doc.saveas(f"{FOLDER}/{name}.dxf")


def expect(file, **what):
    EXPECTED.append({"file": file + ".dxf", **what})


def polyline(space, version, points, layer, **attribs):
    attribs["layer"] = layer
    add = space.add_polyline2d if version == "R12" else space.add_lwpolyline
    return add(points, format="xyb"[: len(points[0])], close=True, dxfattribs=attribs)


def area_of(points):
    return 0.5 * sum(a.x * b.y - a.y * b.x for a, b in zip(points, points[1:] + points[:1]))


for version in ("R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"):
    doc, space = new(version)
    name = f"odd_{version}"
    said = {"units": "mm"} if version == "R12" else {}  # R12 has no units in its header
    below = {"extrusion": (0, 0, -1)}

    def shape(layer, **what):
        expect(name, layer=layer, **said, **what)

    polyline(space, version, SQUARE, "SQUARE")
    shape("SQUARE", area=100, length=40, box=[0, 0, 10, 10])
    polyline(space, version, STADIUM, "STADIUM")
    shape("STADIUM", area=300 + 25 * math.pi, length=60 + 10 * math.pi, box=[-5, 0, 35, 10])
    polyline(space, version, [(x, y, -b) for x, y, b in STADIUM], "BITTEN")
    shape("BITTEN", area=300 - 25 * math.pi, length=60 + 10 * math.pi, box=[0, 0, 30, 10])
    # Three quarters of a circle on a chord of 10.
    polyline(space, version, [(0, 0, math.tan(3 * math.pi / 8)), (10, 0, 0)], "LARGE")
    r = 5 * math.sqrt(2)
    shape("LARGE", area=r * r / 2 * (1.5 * math.pi + 1), length=1.5 * math.pi * r + 10)
    # Seen from below: the entity's own X runs the other way.
    polyline(space, version, STADIUM, "BELOW", **below)
    shape("BELOW", area=300 + 25 * math.pi, box=[-35, 0, 5, 10])
    space.add_circle((7, 3), 5, dxfattribs={"layer": "ROUND", **below})
    shape("ROUND", area=25 * math.pi, box=[-12, -2, -2, 8])
    space.add_arc((0, 0), 10, 270, 90, dxfattribs={"layer": "HALF"})
    space.add_line((0, 10), (0, -10), dxfattribs={"layer": "HALF"})
    shape("HALF", area=50 * math.pi, length=10 * math.pi + 20, box=[0, -10, 10, 10])

    # Blocks within blocks: base points, unequal and negative scales, turns; then one seen from below.
    inner = doc.blocks.new("INNER", base_point=(3, 4))
    inner.add_circle((5, 6), 2, dxfattribs={"layer": "0"})
    outer = doc.blocks.new("OUTER", base_point=(1, 1))
    outer.add_blockref("INNER", (10, 10), dxfattribs={"xscale": -2, "yscale": 1, "rotation": 90, "layer": "0"})
    space.add_blockref("OUTER", (100, 50), dxfattribs={"xscale": 3, "yscale": -1, "rotation": 30, "layer": "NESTED"})
    # The circle's centre by hand: (2, 2) scaled (-4, 2), turned (-2, -4), placed (8, 6), from the base (7, 5),
    # scaled (21, -5), turned by 30 degrees; its axes are 2 and 4, times 3 and 1 the other way round.
    c, s = math.cos(math.pi / 6), math.sin(math.pi / 6)
    x, y = 100 + 21 * c + 5 * s, 50 + 21 * s - 5 * c
    reach = [math.hypot(3 * 2 * c, 4 * s), math.hypot(3 * 2 * s, 4 * c)]
    shape("NESTED", area=math.pi * 6 * 4, box=[x - reach[0], y - reach[1], x + reach[0], y + reach[1]])
    plate = doc.blocks.new("PLATE")
    polyline(plate, version, STADIUM, "0")
    space.add_blockref("PLATE", (100, 0), dxfattribs={"layer": "COPY", **below})
    shape("COPY", area=300 + 25 * math.pi, box=[-135, 0, -95, 10])

    # What is not part of the drawing: frozen and switched-off layers, the printed sheet and its title block.
    doc.layers.add("FROZEN").freeze()
    doc.layers.add("OFF").off()
    for hidden in ("FROZEN", "OFF"):
        space.add_circle((500, 500), 5, dxfattribs={"layer": hidden})
        space.add_blockref("PLATE", (600, 500), dxfattribs={"layer": hidden})
    paper = next(layout for layout in doc.layouts if layout.name != "Model")
    polyline(paper, version, [(0, 0), (420, 0), (420, 297), (0, 297)], "SQUARE")
    paper.add_blockref("PLATE", (0, 0), dxfattribs={"layer": "SQUARE"})
    # A layer's name that is not ASCII: in the header's code page up to R2004, in UTF-8 since.
    polyline(space, version, SQUARE, "Größe")
    shape("Größe", area=100)

    if version != "R12":
        space.add_ellipse((0, 0), (10, 0), 0.5, 0, math.pi, dxfattribs={"layer": "UNDER", **below})
        space.add_line((-10, 0), (10, 0), dxfattribs={"layer": "UNDER"})
        shape("UNDER", area=25 * math.pi, box=[-10, -5, 10, 0])
        space.add_ellipse((5, 5), (0, 20), 0.25, dxfattribs={"layer": "OVAL"})
        shape("OVAL", area=100 * math.pi, box=[0, -15, 10, 25])
        # A circle as a rational spline of four quarters, and splines that ezdxf closed itself.
        half = math.sqrt(0.5)
        ring = space.add_spline(degree=2, dxfattribs={"layer": "RING"})
        ring.control_points = [(10, 0, 0), (10, 10, 0), (0, 10, 0), (-10, 10, 0), (-10, 0, 0), (-10, -10, 0),
                               (0, -10, 0), (10, -10, 0), (10, 0, 0)]
        ring.knots = [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4]
        ring.weights = [1, half] * 4 + [1]
        shape("RING", area=100 * math.pi, length=20 * math.pi, box=[-10, -10, 10, 10])
        corners = Vec3.list([(0, 0, 0), (20, 0, 0), (20, 20, 0), (0, 20, 0)])
        closed = space.add_spline(degree=3, dxfattribs={"layer": "CLOSED"})
        closed.set_closed(corners)
        weighted = space.add_spline(degree=3, dxfattribs={"layer": "WEIGHTED"})
        weighted.set_closed_rational(corners, [1, 2, 1, 2])
        through = space.add_spline_control_frame([(0, 0), (10, 5), (20, 0), (10, -8), (0, 0)], method="chord",
                                                 dxfattribs={"layer": "THROUGH"})
        for layer, spline in (("CLOSED", closed), ("WEIGHTED", weighted), ("THROUGH", through)):
            points = list(spline.flattening(1e-5, 16))
            if points[0].isclose(points[-1]):
                points.pop()
            shape(layer, area=abs(area_of(points)))
        space.add_spline(fit_points=[(0, 0), (10, 5), (20, 0)], dxfattribs={"layer": "FIT"})
        shape("FIT", error="gives only points to pass through")
    save(doc, name)

# Clutter that is no contour, and one square within a block that has an attribute.
doc, space = new("R2010")
space.add_hatch().paths.add_polyline_path(SQUARE)
space.add_text("text")
space.add_mtext("text")
space.add_point((1, 1))
space.add_solid([(0, 0), (1, 0), (1, 1)])
space.add_linear_dim(base=(3, 2), p1=(0, 0), p2=(3, 0)).render()
sign = doc.blocks.new("SIGN")
polyline(sign, "R2010", SQUARE, "0")
sign.add_attdef("TAG", (0, 0), "x")
space.add_blockref("SIGN", (200, 200)).add_attrib("TAG", "value", (200, 200))
save(doc, "clutter")
expect("clutter", area=100, length=40)

for units, mm in ((1, 25.4), (4, 1), (5, 10), (9, 0.0254), (14, 100)):
    doc, space = new("R2000", units)
    polyline(space, "R2000", SQUARE, "0")
    save(doc, f"units_{units}")
    expect(f"units_{units}", area=100 * mm * mm, length=40 * mm)
doc, space = new("R2000", 0)
polyline(space, "R2000", SQUARE, "0")
save(doc, "units_0")
expect("units_0", error="($INSUNITS): say units = \"mm\" or \"in\" beside the drawing's name (its points span 10 x 10)")
expect("units_0", units="in", area=100 * 25.4 * 25.4)
doc, space = new("R12", 0)
polyline(space, "R12", SQUARE, "0")
space.add_circle((10, 0), 2)
save(doc, "units_R12")
expect("units_R12", error="(its points span 12 x 12)")
doc.saveas(f"{FOLDER}/binary.dxf", fmt="bin")
expect("binary", error="this is a binary file: save the drawing as an ASCII DXF")
doc, space = new("R2010")
loop = doc.blocks.new("LOOP")
loop.add_line((0, 0), (1, 0))
loop.add_blockref("LOOP", (1, 0))
space.add_blockref("LOOP", (0, 0))
save(doc, "loop")
expect("loop", error="blocks are nested more than 16 deep: does one hold itself?")

with open(f"{FOLDER}/expected.json", "w", encoding="utf-8") as out:
    json.dump(EXPECTED, out)
