#!/usr/bin/env python3
"""Makes even-odd.txt with Shapely (BSD-3-Clause; Debian's python3-shapely 1.8.5).

Regions of one to three random closed lines that cross themselves and each
other, and points, with what Shapely says of them: even-odd is the symmetric
difference of the areas of the lines alone, and make_valid gives the even-odd
area of a line that crosses itself.
"""
import random
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import unary_union
from shapely.validation import make_valid

chance = random.Random(11)


def even_odd(rings):
    area = None
    for ring in rings:
        part = make_valid(Polygon(ring))
        area = part if area is None else area.symmetric_difference(part)
    return area


with open("even-odd.txt", "w") as out:
    for _ in range(220):
        rings = []
        # Whole numbers: corners and edges lie on each other often.
        size = chance.choice([6, 20, 1000])
        for _ in range(chance.randint(1, 3)):
            rings.append([(chance.randint(0, size), chance.randint(0, size)) for _ in range(chance.randint(3, 14))])
        # A line that runs over itself is left out: make_valid is not even-odd there.
        if any(unary_union(LineString(r + r[:1])).length < LineString(r + r[:1]).length - 1e-9 for r in rings):
            continue
        area = even_odd(rings)
        lines = unary_union([LineString(r + r[:1]) for r in rings])
        out.write("region " + " ; ".join(" ".join("%d,%d" % p for p in r) for r in rings) + "\n")
        for _ in range(30):
            p = (chance.randint(-1, 2 * size + 1) / 2, chance.randint(-1, 2 * size + 1) / 2)
            at = Point(p)
            if lines.distance(at) == 0:
                verdict = "on"
            elif lines.distance(at) < 1e-3:
                continue
            else:
                verdict = "in" if area.contains(at) else "out"
            out.write("%g,%g %s\n" % (p[0], p[1], verdict))
