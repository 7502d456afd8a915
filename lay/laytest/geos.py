# Reads lays (a path given) and checks them with GEOS (shapely): prints one line a fault, nothing if all is well.
# It places the cut lines itself, from piece, turn, mirroring and place alone.
import json
import sys

from shapely.affinity import rotate, scale, translate
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

SLACK = 1e-3  # mm: places are written to a thousandth


def apart(a, b):
    # Both are shrunk first: the overlay of outlines that coincide to the last digits has been seen to return one of them whole.
    return not a.buffer(-SLACK, join_style=2).intersects(b.buffer(-SLACK, join_style=2))


for lay in json.load(open(sys.argv[1])):
    say = lambda *words: print(lay["name"] + ":", *words)
    cut = {}
    for at in lay["places"]:
        shape = Polygon(at["cut_line"])
        if not shape.is_valid:
            say(at["piece"], "has no simple cut line")
        shape = scale(shape, xfact=-1 if at["flipped"] else 1, origin=(0, 0))
        shape = rotate(shape, at["turn"], origin=(0, 0))
        shape = scale(shape, xfact=at["wider"], yfact=at["longer"], origin=(0, 0))
        shape = translate(shape, at["x"], at["y"])
        cut.setdefault((at["job"], at["piece"], at["copy"]), []).append((at, shape))
    whole = []
    for key, halves in cut.items():
        shapes = [s for _, s in halves]
        if len(halves) == 2:
            a, b = halves[0][0], halves[1][0]
            if a["flipped"] == b["flipped"] or (a["x"], a["y"]) != (b["x"], b["y"]):
                say(*key, "is not opened out in two halves")
            if not apart(*shapes):
                say(*key, "has halves that overlap")
            if abs(shapes[0].distance(shapes[1])) > SLACK:
                say(*key, "has halves that are apart")
        elif len(halves) != 1:
            say(*key, "lies", len(halves), "times")
        whole.append((key, unary_union([s.buffer(SLACK / 10, join_style=2) for s in shapes]) if len(shapes) > 1 else shapes[0]))
        at, shape = halves[0]
        low, high = whole[-1][1].bounds[0], whole[-1][1].bounds[2]
        # A half lies on a fold with its fold edge, which is the line x = 0 of the piece.
        if at["on_fold"] and lay["folds"] and len(halves) == 1:
            if not any(abs(at["x"] - f) <= SLACK and min(abs(low - f), abs(high - f)) <= SLACK for f in lay["folds"]):
                say(*key, "does not lie on the fold but from", low, "to", high)
        parts = lay["two"] if at["layers"] == 2 else lay["one"]
        if not any(low >= a - SLACK and high <= b + SLACK for a, b in parts):
            say(*key, "lies where the cloth is not", at["layers"], "layers thick: from", low, "to", high)
    cloth = box(-SLACK, -SLACK, lay["usable"] + SLACK, lay["depth"] + SLACK)
    for n, (key, shape) in enumerate(whole):
        if not cloth.contains(shape):
            say(*key, "leaves the cloth:", shape.bounds)
        for other, b in whole[:n]:
            if shape.distance(b) == 0 and not apart(shape, b):
                say(*key, "and", *other, "overlap")
        for f in lay["flaws"]:
            if not apart(shape, box(*f)):
                say(*key, "lies on a flaw")
    end = max((s.bounds[3] for _, s in whole), default=0)
    if abs(end - lay["depth"]) > 0.1:
        say("the pieces end at", end, "not", lay["depth"])
    area = sum(sum(s.area * a["layers"] for a, s in halves) for halves in cut.values())
    if lay["area"] and abs(area / lay["area"] - lay["utilisation"]) > 1e-3:
        say("utilisation is", area / lay["area"], "not", lay["utilisation"])
