# Reads DXF files with ezdxf, as strictly as it can, and prints as JSON what it finds in each: the errors of
# its audit, the unit, and of each entity its layer, whether it is closed, its area and length (bulges and
# circles in closed form) and points along it. Usage: read_back.py FILE...
import json
import math
import sys

import ezdxf
from ezdxf.math import bulge_to_arc, Vec2


def pieces(entity):
    """(start, end, bulge) of a polyline."""
    points = [(Vec2(v.dxf.location), v.dxf.get("bulge", 0)) for v in entity.vertices]
    ends = points[1:] + points[:1] if entity.is_closed else points[1:]
    return [(a, b, bulge) for (a, bulge), (b, _) in zip(points, ends)]


def read(entity):
    if entity.dxftype() == "CIRCLE":
        r, c = entity.dxf.radius, Vec2(entity.dxf.center)
        points = [c + Vec2.from_angle(math.tau * i / 16, r) for i in range(16)]
        return {"closed": True, "area": math.pi * r * r, "length": math.tau * r, "points": points}
    length = area = 0
    points = []
    for a, b, bulge in pieces(entity):
        area += a.det(b) / 2
        points.append(a)
        if bulge == 0:
            length += a.distance(b)
            points.append(a.lerp(b))
            continue
        centre, start, end, radius = bulge_to_arc(a, b, bulge)
        turn = (end - start) % math.tau
        length += radius * turn
        area += math.copysign(radius * radius / 2 * (turn - math.sin(turn)), bulge)
        points += [centre + Vec2.from_angle(start + turn * t, radius) for t in (0.25, 0.5, 0.75)]
    return {"closed": entity.is_closed, "area": area, "length": length, "points": points}


found = []
for file in sys.argv[1:]:
    doc = ezdxf.readfile(file)
    audit = doc.audit()
    entities = [{"type": e.dxftype(), "layer": e.dxf.layer, **read(e)} for e in doc.modelspace()]
    for e in entities:
        e["points"] = [[p.x, p.y] for p in e["points"]]
    found.append({
        "errors": [str(e.message) for e in audit.errors + audit.fixes],
        "units": doc.header.get("$INSUNITS", 0),
        "entities": entities,
    })
print(json.dumps(found))
