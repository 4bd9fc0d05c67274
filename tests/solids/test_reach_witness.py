"""Clearances by the kernel against a second method: the head set down at thousands of places.

The witness knows no sweeps: for every place where the tip may be it takes each body as it stands
there, measures it against every thing by shapely in plan and by heights, and keeps the least.
Machine, cut, piece and what stands are random. A line of places 0.1 mm apart, or a field of them
with its edge, misses the least distance by less than 0.02 mm.
"""

import math
import random
from dataclasses import dataclass
from functools import partial

import cadquery as cq
import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon, box

from jigs.model.number import Book
from jigs.model.state import Limit
from jigs.shop.head import HOOD, Tips, head_bodies, swept
from jigs.shop.machine import Cutter, Machine, Spindle, cutter_facts, machine_facts
from jigs.shop.path import cut_path
from jigs.shop.piece import Bar, Dome, Turned
from jigs.shop.stock import Cut, cut_facts
from jigs.solids.envelope import Thing, nearest, sweep_solid
from jigs.solids.skin import Body
from jigs.units import Interval, Limits

AGREE = 0.05
"""mm, as the job asks."""

STEP = 0.1


@dataclass
class Stands:
    """A thing that stands: an upright prism, the same for kernel and witness."""

    name: str
    plan: Polygon
    low: float
    high: float

    def thing(self) -> Thing:
        points = [cq.Vector(x, y, self.low) for x, y in self.plan.exterior.coords]
        solid = cq.Solid.extrudeLinear(
            cq.Wire.makePolygon(points), [], cq.Vector(0, 0, self.high - self.low)
        )
        body = Body(lambda: solid)
        return Thing(self.name, body.box, body)


@dataclass
class Job:
    """One random setup."""

    machine: Machine
    cut: Cut
    cutter: str
    piece: Bar | Turned
    stick_out: float
    stands: list[Stands]


def a_job(seed: int) -> Job:
    """Random machine, cutter, cut, piece and things about it."""
    r = random.Random(seed)
    diameter = r.choice([3.0, 6.0, 8.0, 12.7])
    flutes, stick_out = r.uniform(10, 30), r.uniform(15, 50)
    nut = r.uniform(max(15, diameter + 4), 40)
    head = {
        "collet_nut": {"diameter": nut, "length": r.uniform(10, 25)},
        "body": {"diameter": r.uniform(nut + 5, 90), "length": r.uniform(80, 160)},
    }
    if r.random() < 0.6:
        head["dust_hood"] = {"diameter": r.uniform(60, 140), "length": r.uniform(10, 40)}
        head["dust_hood_below"] = r.choice([0.0, -5.0, r.uniform(1, 20)])
    if r.random() < 0.6:
        head["carriage"] = {
            "x": Interval(-r.uniform(20, 80), r.uniform(20, 80)),
            "y": Interval(-r.uniform(0, 60), r.uniform(0, 60)),
            "z": Interval(r.uniform(20, 60), r.uniform(100, 200)),
        }
    machine = Machine.model_validate({
        "name": "random", "under_gantry": 200, "spindle": head,
        "table": {"width": 600, "depth": 400, "thickness": 30,
                  "fixing": {"anchors": "spoilboard", "thickness": 18}},
        "travel": {"x": Interval(0, 600), "y": Interval(-100, 400), "z": Interval(0, 200)},
        "cutters": {"one": {"diameter": diameter, "flute_length": flutes, "length": 90,
                            "shank": r.choice([diameter, diameter + 2])}},
    })  # fmt: skip
    does = r.choice(["slot", "tenon", "mark", "hole"])
    cut = Cut(
        does=does, cutter="one", depth=r.uniform(1, 20), direction=r.choice(["x", "y"]),
        width=r.uniform(4, 24), stick_out=stick_out,
    )  # fmt: skip
    if r.random() < 0.5:
        w, d = (Limits(x, x, x) for x in (r.uniform(25, 60), r.uniform(25, 60)))
        piece: Bar | Turned = Bar(shape="bar", width=w, depth=d, length=Limits(120, 120, 120))
    else:
        wide = r.uniform(15, 40)
        piece = Turned(
            shape="turned", length=Limits(120, 120, 120), grip_diameter=Limits(wide, wide, wide),
            grip_from=wide / 2, grip_to=wide / 2 + 20,
            dome=Dome(width=wide, radius=r.uniform(wide * 0.55, wide * 2)),
        )  # fmt: skip
    return Job(machine, cut, "one", piece, stick_out, [a_thing(r, i) for i in range(6)])


def a_thing(r: random.Random, i: int) -> Stands:
    """An upright prism, three- to seven-cornered and maybe hollowed, beside or under the head."""
    count = r.randint(3, 7)
    turns = sorted(r.uniform(0, math.tau) for _ in range(count))
    size, away, at = r.uniform(5, 40), r.uniform(0, 150), r.uniform(0, math.tau)
    x, y = away * math.cos(at), away * math.sin(at)
    plan = Polygon(
        [(x + f * size * math.cos(t), y + f * size * math.sin(t))
         for t in turns for f in (r.uniform(0.4, 1.0),)]
    )  # fmt: skip
    if not plan.is_valid or plan.area < 20:
        return a_thing(r, i)
    high = r.uniform(-40, 60)
    return Stands(f"thing {i}", plan, high - r.uniform(5, 80), high)


def books(job: Job) -> tuple[Book, Book]:
    cutter = job.machine.cutters[job.cutter]
    facts = cut_facts(job.cut, lambda _: "") + cutter_facts(cutter, lambda _: "")
    return Book("machine", machine_facts(job.machine, lambda _: "")), Book("cut", facts)


TOP = 70.0
"""mm above the piece's end: as high as the tip is lifted."""


def by_kernel(job: Job) -> dict[str, float]:
    """Least distance of each body from anything, as the checks find it."""
    machine, cut = books(job)
    path = cut_path(cut, job.piece, Limit.NOMINAL)
    things = [s.thing() for s in job.stands]
    found: dict[str, float] = {}
    for body in head_bodies(machine, cut, job.stick_out):
        sweeps = [swept(body, Tips(area, -path.deepest, TOP)) for area in path.areas]
        near = nearest([(s, Body(partial(sweep_solid, s))) for s in sweeps], things)
        assert near is not None
        found[body.name] = min(near.apart, found.get(body.name, math.inf))
    return found


# The witness: its own places, its own bodies, its own distances


def places(job: Job) -> tuple[np.ndarray, float]:
    """(x, y) of every place of the tip in the cut, STEP apart, and how deep it goes."""
    cut, piece = job.cut, job.piece
    r = job.machine.cutters[job.cutter].diameter / 2
    if isinstance(piece, Bar):
        half_x, half_y = piece.width.nominal / 2, piece.depth.nominal / 2
    else:
        half_x = half_y = piece.dome.width / 2
    width = cut.width or 0.0
    if cut.does == "slot":
        aside = max(0.0, width / 2 - r)
        along = (half_x if cut.direction == "x" else half_y) + r + 2
        field = grid(-along, along, -aside, aside)
        return (field if cut.direction == "x" else field[:, ::-1]), cut.depth
    if cut.does == "tenon":
        out_x, out_y, inside = half_x + r + 2, half_y + r + 2, width / 2 + r
        field = grid(-out_x, out_x, -out_y, out_y)
        ring = (abs(field[:, 0]) >= min(inside, out_x)) | (abs(field[:, 1]) >= min(inside, out_y))
        edge = [grid(*sides) for sides in wall(min(inside, out_x), min(inside, out_y))]
        return np.concatenate([field[ring], *edge]), cut.depth
    if cut.does == "hole":
        return disc(max(0.0, width / 2 - r)), cut.depth
    drop = 0.0
    if isinstance(piece, Turned):
        at, sphere = min(width / 2, piece.dome.width / 2), piece.dome.sphere_radius
        drop = sphere * (1 - math.cos(math.asin(at / sphere)))
    return disc(width / 2), cut.depth + drop


def wall(x: float, y: float) -> list[tuple[float, float, float, float]]:
    return [(-x, x, -y, -y), (-x, x, y, y), (-x, -x, -y, y), (x, x, -y, y)]


def grid(x0: float, x1: float, y0: float, y1: float) -> np.ndarray:
    # What is furthest out decides: fine along the edges, coarse between them.
    inner = [np.linspace(a, b, max(2, int((b - a) / 0.5) + 1)) for a, b in ((x0, x1), (y0, y1))]
    fine = [np.linspace(a, b, int((b - a) / STEP) + 2) for a, b in ((x0, x1), (y0, y1))]
    sides = [np.stack([fine[0], np.full_like(fine[0], y)], 1) for y in (y0, y1)]
    sides += [np.stack([np.full_like(fine[1], x), fine[1]], 1) for x in (x0, x1)]
    field = np.stack(np.meshgrid(*inner), -1).reshape(-1, 2)
    return np.unique(np.concatenate([field, *sides]), axis=0)


def disc(radius: float) -> np.ndarray:
    turns = np.linspace(0, math.tau, max(2, int(math.tau * radius / STEP)), endpoint=False)
    rim = radius * np.stack([np.cos(turns), np.sin(turns)], 1)
    return np.concatenate([[[0.0, 0.0]], *(rim * share for share in np.linspace(0, 1, 24)[1:])])


def by_places(job: Job) -> dict[str, float]:
    """The least distance of each body from anything, over all places of the tip."""
    tips, deep = places(job)
    spindle, cutter = job.machine.spindle, job.machine.cutters[job.cutter]
    nut, flutes = job.stick_out, min(cutter.flute_length, job.stick_out)
    top = nut + spindle.collet_nut.length
    round_bodies = [
        ("cutter", 0.0, flutes, cutter.diameter / 2, 0.0),
        ("collet nut", nut, top, spindle.collet_nut.diameter / 2, 0.0),
        ("spindle", top, top + spindle.body.length, spindle.body.diameter / 2, 0.0),
    ]
    if flutes < nut:
        round_bodies.append(("shank", flutes, nut, cutter.shank / 2, 0.0))
    if hood := spindle.dust_hood:
        low, r = nut - spindle.dust_hood_below, hood.diameter / 2
        high = low + hood.length
        if low < nut:
            round_bodies.append((HOOD, low, min(nut, high), r, r - spindle.dust_hood_wall))
        if high > nut:
            round_bodies.append((HOOD, max(low, nut), high, r, 0.0))
    found: dict[str, float] = {}
    for name, low, high, radius, hollow in round_bodies:
        for s in job.stands:
            beside = plan_gap(tips, s.plan, radius, hollow)
            apart = math.hypot(beside, height_gap(s, low - deep, high + TOP))
            found[name] = min(apart, found.get(name, math.inf))
    if c := spindle.carriage:
        for s in job.stands:
            boxes = shapely.box(
                tips[:, 0] + c.x.least, tips[:, 1] + c.y.least,
                tips[:, 0] + c.x.most, tips[:, 1] + c.y.most,
            )  # fmt: skip
            beside = float(shapely.distance(boxes, s.plan).min())
            apart = math.hypot(beside, height_gap(s, nut + c.z.least - deep, nut + c.z.most + TOP))
            found["carriage"] = min(apart, found.get("carriage", math.inf))
    return found


def plan_gap(tips: np.ndarray, plan: Polygon, radius: float, hollow: float) -> float:
    """Least distance in plan from a disc, or a ring, about any of the places to a polygon."""
    apart = shapely.distance(shapely.points(tips), plan)
    outside = np.maximum(0.0, apart - radius)
    if not hollow:
        return float(outside.min())
    corners = np.array(plan.exterior.coords)
    furthest = np.linalg.norm(tips[:, None] - corners[None], axis=2).max(axis=1)
    return float(np.where(furthest < hollow, hollow - furthest, outside).min())


def height_gap(s: Stands, low: float, high: float) -> float:
    return max(0.0, low - s.high, s.low - high)


def agree(seed: int) -> None:
    job = a_job(seed)
    ours, theirs = by_kernel(job), by_places(job)
    assert ours.keys() == theirs.keys()
    for body in ours:
        assert ours[body] == pytest.approx(theirs[body], abs=AGREE), (seed, body, job.cut)


@pytest.mark.parametrize("seed", range(20))
def test_clearances_agree_with_the_head_set_down_everywhere(seed):
    agree(seed)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(20, 200))
def test_clearances_agree_over_many_more_setups(seed):
    agree(seed)


def test_the_random_setups_are_worth_their_name():
    """Near and far, apart and overlapping, every cut, hoods that hang and that do not."""
    jobs = [a_job(seed) for seed in range(200)]
    assert {j.cut.does for j in jobs} == {"slot", "tenon", "mark", "hole"}
    assert sum(j.machine.spindle.dust_hood_below > 0 for j in jobs) > 20
    apart = [value for j in jobs[:6] for value in by_places(j).values()]
    assert 0 < sum(value == 0 for value in apart) < len(apart) / 2
    assert sum(0 < value < 20 for value in apart) > 5


SKIRTED = Spindle.model_validate({
    "collet_nut": {"diameter": 20, "length": 20}, "body": {"diameter": 60, "length": 100},
    "dust_hood": {"diameter": 80, "length": 30}, "dust_hood_below": 12,
})  # fmt: skip


@pytest.mark.parametrize(
    ("does", "reach"),
    [
        # inner radius 35; a peg of 20 mm square at the middle reaches hypot(10, 10)
        ("hole", math.hypot(10, 10)),
        # a slot over 30: the tip goes 15 + 3 + 2 either way, so the far corner is 30 and 10 away
        ("slot", math.hypot(30, 10)),
    ],
)
def test_a_skirt_may_stand_round_a_thing(does, reach):
    """It hangs to 30 - 12 - 5 = 13, and the peg stands to 20, below the nut and the
    hood's full disc at 25."""
    job = a_job(0)
    whole = job.machine.model_copy(
        update={"spindle": SKIRTED, "cutters": {"one": Cutter(
            diameter=6, flute_length=20, shank=6, length=60)}}
    )  # fmt: skip
    side = Limits(30, 30, 30)
    piece = Bar(shape="bar", width=side, depth=side, length=Limits(100, 100, 100))
    cut = Cut(does=does, cutter="one", depth=5, stick_out=30)
    skirted = Job(whole, cut, "one", piece, 30, [Stands("peg", box(-10, -10, 10, 10), -30, 20)])
    assert by_kernel(skirted)[HOOD] == pytest.approx(min(35 - reach, 25 - 20), abs=1e-6)


def test_things_that_lie_aslant_are_measured_too():
    """A rod on its side against the witness of points on its skin, 0.5 mm apart."""
    job = a_job(5)
    machine, cut = books(job)
    start, along, r = np.array([50.0, -30.0, -12.0]), np.array([0.6, 0.64, 0.48]), 7.0
    rod = cq.Solid.makeCylinder(r, 60, cq.Vector(*start), cq.Vector(*along))
    body = Body(lambda: rod)
    u = np.cross(along, [0, 0, 1.0])
    u /= np.linalg.norm(u)
    v = np.cross(along, u)
    turns, ways = np.meshgrid(np.linspace(0, math.tau, 160), np.linspace(0, 60, 120))
    flat = [turns.ravel()[:, None], ways.ravel()[:, None]]
    skin = start + flat[1] * along + r * (np.cos(flat[0]) * u + np.sin(flat[0]) * v)
    ends = [start + along * at + r * share * (np.cos(flat[0]) * u + np.sin(flat[0]) * v)
            for at in (0, 60) for share in (0.25, 0.5, 0.75)]  # fmt: skip
    points = np.concatenate([skin, *ends])
    path = cut_path(cut, job.piece, Limit.NOMINAL)
    for on_it in head_bodies(machine, cut, job.stick_out):
        if on_it.hollow:
            continue
        for area in path.areas:
            sweep = swept(on_it, Tips(area, -path.deepest, 25.0))
            moving = Body(partial(sweep_solid, sweep))
            found = nearest([(sweep, moving)], [Thing("rod", body.box, body)])
            plan = shapely.MultiPoint(sweep.area.corners).convex_hull
            plan = plan.buffer(sweep.area.rounding, quad_segs=64)
            beside = shapely.distance(shapely.points(points[:, :2]), plan)
            above = np.maximum(0, np.maximum(sweep.low - points[:, 2], points[:, 2] - sweep.high))
            assert found is not None
            assert found.apart == pytest.approx(np.hypot(beside, above).min(), abs=AGREE)


def test_a_thing_wholly_within_a_sweep_is_met_there():
    inside = Stands("crumb", box(-1, -1, 1, 1), 30, 32)
    job = a_job(3)
    job.stands = [inside]
    found = by_kernel(job)
    assert 0.0 in (found["cutter"], found.get("shank"), found["collet nut"])
