"""Answers with Shapely (BSD-3-Clause; Debian's python3-shapely 1.8.5).

Reads a line a time: two regions as lists of rings, a list of lines and an offset
in mm, as JSON. Writes a line for each: the areas of the first region, of union,
intersection and difference, of the first region grown by the offset, and the
length of the lines inside the first. What is inside is found by the even-odd rule
for a place in each of the faces into which all rings part the plane: make_valid
is not even-odd where a ring runs over itself.
"""
import json
import sys
from shapely.geometry import LineString
from shapely.ops import polygonize, unary_union


def inside(rings, p):
    odd = False
    for ring in rings:
        for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1]):
            if (y0 > p.y) != (y1 > p.y) and p.x < x0 + (p.y - y0) * (x1 - x0) / (y1 - y0):
                odd = not odd
    return odd


def faces(*regions):
    """The faces of all rings, each with whether it lies in each of the regions."""
    lines = unary_union([LineString(r + r[:1]) for rings in regions for r in rings])
    for face in polygonize(lines):
        p = face.representative_point()
        yield face, [inside(rings, p) for rings in regions]


for line in sys.stdin:
    case = json.loads(line)
    union = both = only = 0
    for face, (a, b) in faces(case["a"], case["b"]):
        union += face.area * (a or b)
        both += face.area * (a and b)
        only += face.area * (a and not b)
    # Of its own lines alone: crossings with others are rounded and leave cracks,
    # which an offset would widen.
    area = unary_union([face for face, (a,) in faces(case["a"]) if a])
    print(json.dumps([
        area.area, union, both, only,
        area.buffer(case["mm"], resolution=90).area,
        sum(LineString(piece).intersection(area).length for line in case["lines"] for piece in zip(line, line[1:])),
    ]), flush=True)
