# Reads a problem and a lay (paths given) and checks the lay with GEOS (shapely):
# prints one line a fault, nothing if all is well.
import json
import sys

from shapely.affinity import rotate, scale, translate
from shapely.geometry import Polygon, box



def meet(a, b):
    # Both are shrunk first: the overlay of outlines that coincide to the last
    # digits has been seen to return one of them whole (GEOS 3.11).
    return a.buffer(-slack / 2, join_style=2).intersects(b.buffer(-slack / 2, join_style=2))


problem, lay = (json.load(open(name)) for name in sys.argv[1:3])
width = problem["cloth_width"]
slack = 1e-6 * width
pieces = {p["id"]: p for p in problem["pieces"]}
placed, count = [], {}
for place in lay["places"]:
    piece = pieces[place["id"]]
    shape = Polygon(piece["outline"])
    flipped = place.get("flipped", False)
    if flipped:
        shape = scale(shape, xfact=-1, origin=(0, 0))
    ways = piece.get("ways")
    if not ways:
        turns = [0] if piece.get("on_edge") else piece["turns"]
        ways = [{"turn": t, "flipped": f} for t in turns for f in ([False, True] if piece.get("flip") else [False])]
    ways = [w for w in ways if w["turn"] == place["turn"] and w.get("flipped", False) == flipped]
    if not ways:
        print(place["id"], "lies at turn", place["turn"], "mirrored" if flipped else "")
    shape = translate(rotate(shape, place["turn"], origin=(0, 0)), place["x"], place["y"])
    low, high = shape.bounds[1], shape.bounds[3]
    if not any(low >= w.get("from", 0) - slack and high <= (w.get("to") or width) + slack for w in ways):
        print(place["id"], "leaves its part of the width")
    if piece.get("on_edge") and not piece.get("ways") and abs(low) > slack:
        print(place["id"], "is not on the edge")
    count[(place["id"], place["copy"])] = count.get((place["id"], place["copy"]), 0) + 1
    placed.append((place["id"], place["copy"], shape))
want = {(i, c): 1 for i, p in pieces.items() for c in range(p["quantity"])}
if count != want:
    print("copies laid are not those wanted")
strip = box(-slack, -slack, lay["length"] + slack, width + slack)
for i, c, shape in placed:
    if not strip.contains(shape):
        print(i, c, "leaves the strip")
gap = problem.get("gap", 0)
bounds = [s.bounds for _, _, s in placed]
for n, (i, c, a) in enumerate(placed):
    x0, y0, x1, y1 = (v + w for v, w in zip(bounds[n], (-gap, -gap, gap, gap)))
    for m, (j, d, b) in enumerate(placed[:n]):
        u0, v0, u1, v1 = bounds[m]
        if u0 > x1 or u1 < x0 or v0 > y1 or v1 < y0:
            continue
        if a.distance(b) > 0:
            if a.distance(b) < gap - slack:
                print(i, c, "and", j, d, "are nearer than the gap")
            continue
        if gap > slack:
            print(i, c, "and", j, d, "touch in spite of the gap")
        if meet(a, b):
            print(i, c, "and", j, d, "overlap")
    for k, o in enumerate(problem.get("obstacles", [])):
        if meet(a, Polygon(o)):
            print(i, c, "lies on obstacle", k)
area = sum(s.area for _, _, s in placed)
if abs(area / (width * lay["length"]) - lay["utilisation"]) > 1e-9:
    print("utilisation is", area / (width * lay["length"]), "not", lay["utilisation"])
