"""Cut and put together from the exported files alone: what comes out is what was designed.

Each cut file is cut here as a router would: its outlines opened by the listed cutter (shapely), its
pockets sunk to the listed depths (CadQuery), its edges drilled. The part that is left is compared
with the part's STEP, and put where the setup's STEP has the part of that title. Nothing of the
library that draws or cuts is called.
"""

import json
import math
import re
from itertools import pairwise
from typing import NamedTuple

import cadquery as cq
import ezdxf
import pytest
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.XCAFApp import XCAFApp_Application
from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_ShapeTool
from shapely import Polygon, box, unary_union

JOBS = ["allotment", "skittles", "stool"]
SHARE, LEAST = 1e-5, 5.0  # of the volume, and mm3, by which a part may differ
STANDING = 1e-5
NECKS = 2 * 8.1**2 * 6  # mm3, more than the necks of two coach bolts of 8 mm press in
LOOSE = 0.6  # mm that a tongue may have in its groove
BEYOND = 1.0


class Line(NamedTuple):
    """One closed line of a cut file: (x, y, bulge) each, in the part's own frame."""

    points: tuple

    def sides(self):
        return pairwise([*self.points, self.points[0]])

    def wire(self):
        edges = []
        for (x0, y0, bulge), (x1, y1, _) in self.sides():
            a, b = cq.Vector(x0, y0), cq.Vector(x1, y1)
            if bulge == 0:
                edges.append(cq.Edge.makeLine(a, b))
            else:
                sag = bulge / 2
                middle = cq.Vector((x0 + x1) / 2 + sag * (y1 - y0), (y0 + y1) / 2 - sag * (x1 - x0))
                edges.append(cq.Edge.makeThreePointArc(a, middle, b))
        return cq.Wire.assembleEdges(edges)

    def polygon(self):
        """Arcs as chords 0.02 rad long, their ends on the arc."""
        points = []
        for (x0, y0, bulge), (x1, y1, _) in self.sides():
            points.append((x0, y0))
            if bulge:
                k = (1 / bulge - bulge) / 4
                cx, cy = (x0 + x1) / 2 - k * (y1 - y0), (y0 + y1) / 2 + k * (x1 - x0)
                turn, r = 4 * math.atan(bulge), math.hypot(x0 - cx, y0 - cy)
                first, n = math.atan2(y0 - cy, x0 - cx), max(8, math.ceil(abs(turn) / 0.02))
                angles = [first + turn * i / n for i in range(1, n)]
                points += [(cx + r * math.cos(a), cy + r * math.sin(a)) for a in angles]
        return Polygon(points)


class Sunk(NamedTuple):
    """One thing that is cut, with its step in the side file, and the face that was up."""

    line: Line
    step: dict
    up: str


class Occurrence(NamedTuple):
    """One solid of an assembly: names from the root down, and where its own frame stands."""

    path: tuple
    title: str
    shape: cq.Shape
    place: cq.Location


# Reading


def entities(path, axis):
    """Closed lines by layer in their order; mirrored back about y = axis where it is given."""
    found = {}
    drawing = ezdxf.readfile(path)
    assert drawing.units == ezdxf.units.MM
    for entity in drawing.modelspace():
        if entity.dxf.layer.startswith("5 "):
            continue
        if entity.dxftype() == "CIRCLE":
            (x, y, _), r = entity.dxf.center, entity.dxf.radius
            points = [(x - r, y, 1.0), (x + r, y, 1.0)]
        else:
            assert entity.dxftype() == "LWPOLYLINE"
            assert entity.closed
            points = [tuple(p) for p in entity.get_points("xyb")]
        if axis is not None:
            points = [(x, 2 * axis - y, -b) for x, y, b in points]
        found.setdefault(entity.dxf.layer, []).append(Line(tuple(points)))
    return found


def cuts_of(folder, side):
    """What is cut, from all faces of a part, each line with its step."""
    found = []
    for face in side["faces"]:
        lines = entities(folder / face["file"], side["axis_y"] if face["mirrored"] else None)
        steps = {layer: [s for s in face["steps"] if s["layer"] == layer] for layer in lines}
        assert {s["layer"] for s in face["steps"]} == set(lines)
        for layer, drawn in lines.items():
            assert [s["number"] for s in steps[layer]] == list(range(1, len(drawn) + 1))
            if not layer.startswith("0 "):
                found += [
                    Sunk(line, s, face["up"]) for line, s in zip(drawn, steps[layer], strict=True)
                ]
    return found


def occurrences(path):
    """Every solid of a STEP assembly."""
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    XCAFApp_Application.GetApplication_s().InitDocument(document)
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.ReadFile(str(path))
    assert reader.Transfer(document)
    roots = TDF_LabelSequence()
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetFreeShapes(roots)
    return [o for i in range(roots.Length()) for o in walk(roots.Value(i + 1), (), cq.Location())]


def walk(label, above, place):
    product = TDF_Label()
    referred = XCAFDoc_ShapeTool.GetReferredShape_s(label, product)
    body = product if referred else label
    here = place * cq.Location(XCAFDoc_ShapeTool.GetLocation_s(label)) if referred else place
    path = (*above, name_of(label))
    if not XCAFDoc_ShapeTool.IsAssembly_s(body):
        shape = cq.Shape.cast(XCAFDoc_ShapeTool.GetShape_s(body))
        assert shape.wrapped.Location().IsEqual(TopLoc_Location())
        return [Occurrence(path, name_of(body), shape, here)]
    members = TDF_LabelSequence()
    XCAFDoc_ShapeTool.GetComponents_s(body, members)
    return [o for i in range(members.Length()) for o in walk(members.Value(i + 1), path, here)]


def name_of(label):
    name = TDataStd_Name()
    assert label.FindAttribute(TDataStd_Name.GetID_s(), name)
    return name.Get().ToExtString()


# Cutting


def opened(shape, r):
    """What a round cutter sweeps that stays within a shape."""
    return shape.buffer(1e-6 - r, quad_segs=64).buffer(r - 1e-6, quad_segs=64)


def left_standing(cuts, r):
    """mm3 of wood that the cutter does not reach although it is drawn as cut away."""
    outline = outline_of(cuts)
    around = outline.envelope.buffer(9 * r).difference(outline)
    deep = max(c.step["depth"] for c in cuts)
    volume = around.difference(opened(around, r)).buffer(-1e-3).area * deep
    for cut in cuts:
        if cut.step["tool"] != "cutter" or cut.step["does"] == "outline":
            continue
        drawn = cut.line.polygon()
        left = drawn.intersection(outline).difference(cleared(cut, cuts, r))
        volume += left.buffer(-1e-3).area * cut.step["depth"]
    return volume


def cleared(cut, cuts, r):
    """What is open at a cut's depth: what the tool sweeps, and what other cuts took there."""
    drawn = cut.line.polygon()
    return unary_union([opened(drawn, r) if cut.step["tool"] == "cutter" else drawn] + [
        c.line.polygon() for c in cuts
        if c is not cut and c.up == cut.up and c.step["depth"] >= cut.step["depth"]
        and c.step["does"] != "outline"
    ])  # fmt: skip


def sunk(cut, thick):
    """The wood that one step takes away."""
    if cut.step["through"]:
        low, high = -BEYOND, thick + BEYOND
    elif cut.up == "top":
        low, high = thick - cut.step["depth"], thick + BEYOND
    else:
        low, high = -BEYOND, cut.step["depth"]
    face = cq.Face.makeFromWires(cut.line.wire().moved(cq.Location(cq.Vector(0, 0, low))))
    return cq.Solid.extrudeLinear(face, cq.Vector(0, 0, high - low))


def drilled(hole, bounds):
    """The wood that a drill takes out of an edge."""
    x0, y0, x1, y1 = bounds
    u, v = hole["at"]
    at, inwards, length = {
        "front": ((u, y0, v), (0, 1, 0), y1 - y0), "back": ((u, y1, v), (0, -1, 0), y1 - y0),
        "left": ((x0, u, v), (1, 0, 0), x1 - x0), "right": ((x1, u, v), (-1, 0, 0), x1 - x0),
    }[hole["face"]]  # fmt: skip
    into = cq.Vector(*inwards)
    start = cq.Vector(*at) - into * BEYOND
    depth = (length + BEYOND if hole["through"] else hole["depth"]) + BEYOND
    return cq.Solid.makeCylinder(hole["diameter"] / 2, depth, start, into)


def as_cut(side, cuts):
    """The solid that is left of the blank, at the nominal thickness; a stack glued up."""
    thick = side["thickness"]["nominal"] * side["slices"]
    outline = next(c.line for c in cuts if c.step["does"] == "outline")
    blank = cq.Solid.extrudeLinear(cq.Face.makeFromWires(outline.wire()), cq.Vector(0, 0, thick))
    away = [sunk(c, thick) for c in cuts if c.line is not outline]
    away += [drilled(hole, outline.polygon().bounds) for hole in side["drill"]]
    return blank.cut(*away) if away else blank


class Built:
    """A job's exported files, read once."""

    def __init__(self, folder):
        files = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))["files"]
        self.sides, self.cuts, self.solids = {}, {}, {}
        for name in files:
            if re.fullmatch(r"make/[^/]+/[^/]+\.json", name) is None:
                continue  # what lies in make/ itself, such as the fit coupon, is of no jig
            side = json.loads((folder / name).read_text(encoding="utf-8"))
            if "faces" not in side:
                continue  # a sheet's layout
            key = (side["jig"], side["title"])
            assert key not in self.sides, "slices that differ are put together by their names"
            self.sides[key] = side
            self.cuts[key] = cuts_of((folder / name).parent, side)
            self.solids[key] = as_cut(side, self.cuts[key])
        self.folder = folder
        setups = [n for n in files if n.startswith("setups/") and "on the machine" not in n]
        self.standing = [occurrences(folder / name) for name in setups]

    def key(self, occurrence):
        """(jig, title) of a part that has a cut file."""
        key = (occurrence.path[1], occurrence.title)
        return key if key in self.sides else None


@pytest.fixture(scope="module", params=JOBS)
def job(request, built_jobs):
    return Built(built_jobs(request.param).folder)


# Comparing


def box_of(s):
    b = s.BoundingBox()
    return (b.xmin, b.ymin, b.zmin, b.xmax, b.ymax, b.zmax)


def may_differ(solid):
    return max(LEAST, SHARE * solid.Volume())


def volume(shape):
    return sum(s.Volume() for s in shape.Solids())


def test_every_part_has_its_pieces(job):
    assert job.sides
    for (jig, title), side in job.sides.items():
        placed = [o for s in job.standing for o in s if (o.path[1], o.title) == (jig, title)]
        assert len(placed) == side["pieces"], (jig, title)


def test_the_cutter_leaves_no_wood_that_is_drawn_as_cut(job):
    for key, cuts in job.cuts.items():
        left = left_standing(cuts, job.sides[key]["cutter"]["diameter"] / 2)
        assert left <= max(LEAST, STANDING * volume(job.solids[key])), (key, left)


def test_each_part_as_cut_is_the_parts_step(job):
    """Bounds and volume; what is pressed in or broken by hand is compared in the assembly."""
    for (jig, title), side in job.sides.items():
        name = side["part"].split(" slice")[0]
        step = cq.importers.importStep(str(job.folder / f"parts/{jig}/{name}.step")).val()
        solid = job.solids[jig, title]
        assert box_of(solid) == pytest.approx(box_of(step), abs=1e-4), title
        bored = [c.step["does"] for c in job.cuts[jig, title]] + [
            "counterbore" for hole in side["drill"] if hole["counterbore"]]  # fmt: skip
        more = by_hand(job, (jig, title)) + (NECKS if "counterbore" in bored else 0.0)
        assert -may_differ(step) <= volume(solid) - volume(step) <= may_differ(step) + more, title


def by_hand(job, key):
    """mm3 of hand edges that are broken: at most a triangle along the outline on both faces."""
    return job.sides[key]["eased"] ** 2 * outline_of(job.cuts[key]).length


def outline_of(cuts):
    return next(c.line for c in cuts if c.step["does"] == "outline").polygon()


def test_put_together_it_is_the_assembly(job):
    """Every part that is cut, in the place where the assembly has it, is what stands there.

    But for the square necks of coach bolts, which the bolts press in themselves.
    """
    first = {}
    compared = 0
    for standing in job.standing:
        for o in standing:
            key = job.key(o)
            if key is None:
                continue
            compared += 1
            put, there = job.solids[key].moved(o.place), o.shape.moved(o.place)
            assert box_of(put) == pytest.approx(box_of(there), abs=1e-4), o.path
            if key in first:  # one more of the same, in another place
                assert volume(there) == pytest.approx(volume(first[key]), rel=1e-9)
                continue
            first[key] = there
            assert volume(there.cut(put)) <= may_differ(there), o.path
            extra, allowed = put.cut(there), may_differ(there) + by_hand(job, key)
            if volume(extra) > allowed:
                bolts = [b for b in standing if "coach bolt" in b.title]
                extra = extra.cut(*(b.shape.moved(b.place) for b in bolts))
            assert volume(extra) <= allowed, (o.path, volume(extra))
    assert compared == sum(side["pieces"] for side in job.sides.values())


# Tongues and grooves


def test_every_tongue_goes_into_its_groove(job):
    """At the thickest the sheet may be it still goes in; at the thinnest glue still fills it."""
    for standing in job.standing:
        grooves = [
            (o, cut) for o in standing for cut in job.cuts.get(job.key(o), [])
            if cut.step["does"] == "groove" and cut.step["meets"]
        ]  # fmt: skip
        found = 0
        for o, cut in grooves:
            for tongue in standing:
                # Ribs are all alike: "rib 1" is any of them that stands there.
                names = tongue.path[-1], cut.step["meets"]
                name, meets = (n.rstrip(" 0123456789") for n in names)
                if tongue.path[1] == o.path[1] and f" {name}".endswith(f" {meets}"):
                    found += goes_in(job, o, cut, tongue)
        assert found == len(grooves)


def goes_in(job, into, cut, tongue):
    """1 if the tongue stands in this groove, and then it must clear; 0 for its namesake."""
    side, cuts = job.sides[job.key(into)], job.cuts[job.key(into)]
    relative = into.place.inverse * tongue.place
    solid = job.solids.get(job.key(tongue), tongue.shape).moved(relative)
    thick, depth = side["thickness"]["nominal"] * side["slices"], cut.step["depth"]
    low = thick - depth if cut.up == "top" else 0.0
    drawn = cut.line.polygon()
    x0, y0, x1, y1 = drawn.bounds
    room = cq.Solid.makeBox(x1 - x0, y1 - y0, depth).moved(cq.Location(cq.Vector(x0, y0, low)))
    inside = solid.intersect(room)
    if volume(inside) < 1:
        return 0
    ax, ay, _, bx, by, _ = box_of(inside)
    grown, thinned = growth(job, tongue, relative)
    r = side["cutter"]["diameter"] / 2
    free = cleared(cut, cuts, r).buffer(1e-3)
    outline = outline_of(cuts)
    # It may rest on either side of its groove, or stand in the middle.
    stuck = [
        box(ax - (1 - s) * grown[0], ay - (1 - s) * grown[1],
            bx + (1 + s) * grown[0], by + (1 + s) * grown[1])
        .intersection(outline).difference(free).area
        for s in (-1, 0, 1)
    ]  # fmt: skip
    assert min(stuck) < 0.02, (into.path, cut.step["name"], stuck)
    across = 0 if thinned[0] else 1 if thinned[1] else None
    closed = across is not None and outline.bounds[across] < drawn.bounds[across] and (
        drawn.bounds[across + 2] < outline.bounds[across + 2])  # fmt: skip
    if closed:
        play = drawn.bounds[across + 2] - drawn.bounds[across] - (bx - ax, by - ay)[across]
        assert play - 2 * grown[across] >= 0, (into.path, cut.step["name"])
        assert play + 2 * thinned[across] <= LOOSE, (into.path, cut.step["name"])
    return 1


def growth(job, tongue, relative):
    """How far each side of a tongue moves out at its thickest, and in at its thinnest, x and y."""
    key = job.key(tongue)
    thickness = job.sides[key]["thickness"] if key else {"least": 0, "nominal": 0, "most": 0}
    ends = [(relative * cq.Location(cq.Vector(0, 0, z))).toTuple()[0] for z in (0, 1)]
    across = [abs(b - a) for a, b in zip(*ends, strict=True)][:2]
    more = (thickness["most"] - thickness["nominal"]) / 2
    less = (thickness["nominal"] - thickness["least"]) / 2
    return [more * a for a in across], [less * round(a, 6) for a in across]
