"""Shops drawn at random: a machine, what is to be held on it, the jigs, the cuts. Invented.

A job is drawn as plain data in which every length is a `Size`, exact, in mm. `written` puts them
into millimetres or inches: a shop in inches draws multiples of a 64th, which are finite decimals
of a millimetre too, so that one and the same job can be written both ways.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import yaml

MM_PER_INCH = Fraction(254, 10)  # the yard of 1959; NIST SP 811 (2008), appendix B.8
Tree = Any
"""Mappings, lists, text, numbers, and Size."""


@dataclass(frozen=True)
class Size:
    """A length in mm; with a second one, a length and what it may be off, or a range."""

    mm: Fraction
    off: Fraction | None = None
    upto: Fraction | None = None

    def text(self, inches: bool) -> str | float:
        """As a user would write it in the unit of the file."""
        if self.off is not None:
            return f"{_number(self.mm, inches)} ± {_number(self.off, inches)}"
        if self.upto is not None:
            return f"{_number(self.mm, inches)} to {_number(self.upto, inches)}"
        return float(_number(self.mm, inches))


def _number(mm: Fraction, inches: bool) -> str:
    value = mm / MM_PER_INCH if inches else mm
    text = f"{float(value):.12f}".rstrip("0").rstrip(".")
    assert Fraction(text) == value, f"{value} is no finite decimal"
    return text


def written(tree: Tree, inches: bool) -> Tree:
    """The tree with every Size as text or number in that unit."""
    if isinstance(tree, Size):
        return tree.text(inches)
    if isinstance(tree, dict):
        return {key: written(value, inches) for key, value in tree.items()}
    if isinstance(tree, list | tuple):
        return [written(value, inches) for value in tree]
    return tree


def text_of(job: Tree, *, inches: bool = False, sort_keys: bool = False) -> str:
    """The job file. Every unit that it names is set to the one it is written in."""
    data = written(job, inches)
    data["units"] = "inch" if inches else "mm"
    text: str = yaml.safe_dump(data, allow_unicode=True, sort_keys=sort_keys)
    return text


@dataclass(frozen=True)
class Draw:
    """Draws sizes on the grid of the shop's rule: 0.1 mm, or a 64th of an inch."""

    r: random.Random
    inches: bool

    @property
    def grid(self) -> Fraction:
        """mm."""
        return MM_PER_INCH / 64 if self.inches else Fraction(1, 10)

    def mm(self, least: float, most: float) -> Fraction:
        """A length between two, both in mm."""
        low, high = -(-Fraction(least) // self.grid), Fraction(most) // self.grid
        return self.r.randint(int(low), max(int(low), int(high))) * self.grid

    def near(self, mm: float) -> Fraction:
        """The length on the grid that is nearest."""
        return round(Fraction(mm) / self.grid) * self.grid

    def pick(self, choices: Sequence[Any]) -> Any:
        """One of them."""
        return choices[self.r.randrange(len(choices))]

    def chance(self, share: float) -> bool:
        """True in that share of the draws."""
        return self.r.random() < share


WOODS = ("ash", "beech", "oak", "maple", "birch", "cherry", "walnut", "pine", "spruce", "alder")
PROFILES = (
    (6.2, 6, 11.5, 5.5), (8.2, 6.5, 15, 7.5), (10.2, 9, 17, 7.5), (12.2, 10, 19, 8.5),
    (14.2, 9, 25, 10.5), (7.6, 4, 19.8, 7.1),
)  # fmt: skip
"""Mouth, lip, wide, room of T-slots as they are met, mm. After BS 2485 and aluminium tracks."""


def _profile(d: Draw) -> tuple[dict[str, Size], float]:
    sizes = d.pick(PROFILES)
    words = ("mouth", "lip", "wide", "room")
    return {w: Size(d.near(s)) for w, s in zip(words, sizes, strict=True)}, sizes[2]


def _at(first: Fraction, pitch: Fraction, most: float) -> list[Size]:
    """Positions from the first on, as long as they stay below `most`."""
    found = [first]
    while found[-1] + pitch < most:
        found.append(found[-1] + pitch)
    return [Size(mm) for mm in found]


def _fixing(d: Draw, how: str, width: Fraction, depth: Fraction) -> dict[str, Tree]:
    """How the table holds jigs."""
    if how == "spoilboard":
        return {"anchors": how, "thickness": Size(d.mm(12, 22))}
    pitch = d.mm(40, 70)
    if how == "holes":
        thread = d.pick(("1/4", "5/16", "3/8") if d.inches else ("M5", "M6", "M8"))
        pitch = d.near(d.pick((25.4, 38.1, 50.8) if d.inches else (25, 40, 50)))
        first = Size(pitch / 2)
        columns, rows = (int((side - pitch / 2) / pitch) + 1 for side in (width, depth))
        return {"anchors": how, "thread": thread, "pitch": Size(pitch), "first": [first, first],
                "columns": columns, "rows": rows}  # fmt: skip
    along = d.pick(("x", "y"))
    profile, wide = _profile(d)
    across = depth if along == "x" else width
    return {"anchors": "slots", "along": along,
            "at": _at(pitch, pitch, float(across) - wide / 2 - 1), "profile": profile}  # fmt: skip


def _front(d: Draw, how: str, hangs: float, table: dict[str, Tree]) -> dict[str, Tree]:
    """A front face below the table's edge, on which something hangs that far."""
    width = table["width"].mm
    top = table["thickness"].mm + d.mm(0, 8)
    foot = d.near(float(top) + hangs + d.r.uniform(120, 220))
    face: dict[str, Tree] = {"z": Size(-foot, upto=-top)}
    if d.chance(0.6):
        face["free_below"] = Size(d.near(float(foot) + hangs + d.r.uniform(60, 400)))
    if how == "spoilboard":
        face["fixing"] = {"anchors": how, "thickness": Size(d.mm(14, 22))}
    elif how == "holes":
        pitch = d.near(d.pick((25.4, 50.8) if d.inches else (25, 50)))
        thread = d.pick(("1/4", "5/16") if d.inches else ("M6", "M8"))
        rows = int((foot - top) / pitch)
        face["fixing"] = {
            "anchors": how, "thread": thread, "pitch": Size(pitch),
            "first": [Size(pitch / 2), Size(pitch / 2 - foot)],
            "columns": int((width - pitch / 2) / pitch) + 1, "rows": rows,
        }  # fmt: skip
    else:
        profile, wide = _profile(d)
        first, pitch = d.near(float(top) + wide / 2 + 6), d.mm(50, 90)
        at = [Size(-size.mm) for size in _at(first, pitch, float(foot) - wide / 2 - 1)]
        face["fixing"] = {"anchors": "slots", "along": "x", "at": at, "profile": profile}
    return face


def _machine(d: Draw, at: str, tall: float) -> dict[str, Tree]:
    """A machine that has room for a piece that tall, above the table or in front of it."""
    width, depth = d.mm(420, 900), d.mm(380, 700)
    how = d.pick(("slots", "slots", "holes", "spoilboard"))
    thickness = d.mm(22, 45)
    under = d.near(tall + d.r.uniform(25, 60)) if at == "table" else d.mm(90, 180)
    lowest = 0.55 * tall if at == "table" else d.r.uniform(-40, 15)
    machine: dict[str, Tree] = {
        "name": d.pick(("bench router", "garage router", "plate router")),
        "table": {"width": Size(width), "depth": Size(depth), "thickness": Size(thickness),
                  "fixing": _fixing(d, how, width, depth)},
        "travel": {
            "x": Size(Fraction(0), upto=width), "y": Size(-d.mm(100, 150), upto=depth),
            "z": Size(d.near(lowest), upto=d.near(float(under) + d.r.uniform(40, 100))),
        },
        "under_gantry": Size(under),
        "spindle": {
            "collet_nut": {"diameter": Size(d.mm(15, 26)), "length": Size(d.mm(12, 20))},
            "body": {"diameter": Size(d.mm(42, 80)), "length": Size(d.mm(120, 180))},
        },
        "cutters": {"for the jigs": _routing(d)},
    }  # fmt: skip
    if d.chance(0.5):
        machine["gantry"] = {"beam_y": Size(d.mm(30, 60), upto=d.mm(90, 160))}
    if at == "front face":
        front = d.pick(("slots", "slots", "holes", "spoilboard"))
        machine["front_face"] = _front(d, front, tall, machine["table"])
    return machine


def _routing(d: Draw) -> dict[str, Tree]:
    """The cutter that the jigs themselves are cut with."""
    diameter = d.near(d.pick((6.35,) if d.inches else (4, 5, 6)))
    return {"diameter": Size(diameter), "flute_length": Size(d.mm(24, 34)),
            "shank": Size(diameter), "length": Size(d.mm(55, 70))}  # fmt: skip


def _turned(d: Draw) -> dict[str, Tree]:
    """A turned piece with a domed end and a thinner lower end."""
    least = d.mm(16, 48)
    most = least + d.mm(0.4, min(4.5, 0.14 * float(least)))
    length, off = d.mm(100, 280), d.mm(0.4, 1.2)
    width = d.near(float(least) * d.r.uniform(0.75, 0.95))
    rise = d.near(float(width) * d.r.uniform(0.08, 0.25))
    grip = d.near(float(rise) + d.r.uniform(4, 8))
    grip_to = d.near(float(grip) + d.r.uniform(35, min(60, 0.45 * float(length))))
    waist = d.near(float(least) * d.r.uniform(0.5, 0.85))
    foot = d.near(float(least) * d.r.uniform(0.3, 0.8))
    near_foot = length - off - d.mm(1, 3)
    return {
        "shape": "turned", "wood": d.pick(WOODS), "count": d.r.randint(1, 60),
        "length": Size(length, off), "grip_diameter": Size(least, upto=most),
        "grip_from": Size(grip), "grip_to": Size(grip_to),
        "taper": Size(d.mm(0, 0.4)), "ovality": Size(d.mm(0, 0.3)),
        "dome": {"rise": Size(rise), "width": Size(width)},
        "below_grip": [[Size(grip_to + d.mm(6, 14)), Size(waist)], [Size(near_foot), Size(foot)]],
    }  # fmt: skip


def _bar(d: Draw, least: float, longest: float) -> dict[str, Tree]:
    """A squared bar."""
    width = d.mm(18, 55)
    depth = width if d.chance(0.6) else d.near(float(width) * d.r.uniform(0.8, 1.25))
    return {
        "shape": "bar", "wood": d.pick(WOODS), "count": d.r.randint(1, 60),
        "width": Size(width, d.mm(0.1, 0.5)), "depth": Size(depth, d.mm(0.1, 0.5)),
        "length": Size(d.mm(least, longest), d.mm(0.2, 0.8)),
    }  # fmt: skip


def _stock(d: Draw) -> dict[str, Tree]:
    """Sheet, board and lining."""
    nominal = d.near(d.pick((12.7, 19.05) if d.inches else (12, 15, 18, 18, 21)))
    sheet: dict[str, Tree] = {"material": "birch plywood", "nominal": Size(nominal)}
    if d.chance(0.8):
        sheet["measured"] = Size(nominal - d.mm(0, 0.6), d.near(0.4 if d.inches else 0.2))
    lining = {"thickness": Size(d.mm(2, 4)), "hardness": d.pick((40, 45, 50, 55, 60))}
    stock: dict[str, Tree] = {"sheets": {"ply": sheet}, "linings": {"rubber": lining}}
    if d.chance(0.5):
        stock["boards"] = {"block": {"wood": d.pick(("beech", "maple", "oak")),
                                     "thickest": Size(d.mm(45, 80))}}  # fmt: skip
    return stock


def _mark(d: Draw, across: float) -> tuple[dict[str, Tree], dict[str, Tree]]:
    """A mark in a domed end, and its cutter."""
    diameter = d.near(d.pick((3.175, 6.35) if d.inches else (3, 4, 6)))
    flute = d.near(3.2 * float(diameter))
    cutter = {"shape": d.pick(("ball", "straight")), "diameter": Size(diameter),
              "flute_length": Size(flute), "shank": Size(diameter),
              "length": Size(d.mm(45, 65))}  # fmt: skip
    cut = {"does": "mark", "depth": Size(d.near(0.8)),
           "width": Size(d.near(across * d.r.uniform(0.3, 0.5))), "stick_out": Size(d.mm(24, 34)),
           "pass_depth": Size(d.near(0.4))}  # fmt: skip
    return cut, cutter


def _joint(d: Draw, across: float) -> tuple[dict[str, Tree], dict[str, Tree]]:
    """A slot, tenon, hole or mark in end grain, and its cutter."""
    diameter = d.near(d.pick((6.35, 9.525) if d.inches else (5, 6, 8)))
    deep = d.near(d.r.uniform(6, 18))
    cutter = {"shape": "straight", "diameter": Size(diameter), "shank": Size(diameter),
              "flute_length": Size(deep + d.near(8)),
              "length": Size(d.near(float(deep) + 45))}  # fmt: skip
    does = d.pick(("slot", "slot", "tenon", "hole"))
    cut: dict[str, Tree] = {"does": does, "depth": Size(deep),
                            "stick_out": Size(deep + d.mm(14, 20))}  # fmt: skip
    if does == "slot":
        cut["direction"] = d.pick(("x", "y"))
    if does == "tenon":
        cut["width"] = Size(d.near(across * d.r.uniform(0.4, 0.6)))
    if does == "hole":
        cut["width"] = Size(d.near(max(float(diameter) + 1, across * d.r.uniform(0.3, 0.5))))
    if d.chance(0.7):
        cut["pass_depth"] = Size(d.near(1.6))
    return cut, cutter


def _hung(d: Draw) -> tuple[dict[str, Tree], dict[str, Tree], dict[str, Tree]]:
    """Piece, cut and jigs of a turned piece that hangs in a ring."""
    piece = _turned(d)
    jigs: dict[str, Tree] = {"ring": {"kind": "split_ring", "wood": d.pick(("beech", "maple"))}}
    jigs["gauge"] = {"kind": "height_gauge", "made": d.pick(("stack", "stack", "print"))}
    return piece, jigs, {"at": "front face", "tall": float(piece["length"].mm)}


def _barred(d: Draw) -> tuple[dict[str, Tree], dict[str, Tree], dict[str, Tree]]:
    """Piece, cut and jigs of a long bar held on the front face by two bars."""
    piece = _bar(d, 250, 600)
    made = d.pick(("wood", "print"))
    return (
        piece, {"holder": {"kind": "swing_stop", "bars": 2, "knob_made": made}},
        {"at": "front face", "tall": float(piece["length"].mm) * 0.6},
    )  # fmt: skip


def _clamped(d: Draw) -> tuple[dict[str, Tree], dict[str, Tree], dict[str, Tree]]:
    """Piece, cut and jigs of a short bar that stands in the end-grain clamp."""
    piece = _bar(d, 90, 170)
    clamp = {"kind": "end_grain_clamp", "fixed_side": d.pick(("left", "left", "right", "front")),
             "knob_made": d.pick(("wood", "wood", "print"))}  # fmt: skip
    return piece, {"clamp": clamp}, {"at": "table", "tall": float(piece["length"].mm)}


HOLDS: tuple[Callable[[Draw], tuple[dict[str, Tree], dict[str, Tree], dict[str, Tree]]], ...] = (
    _hung, _hung, _clamped, _clamped, _barred,
)  # fmt: skip


def shop(r: random.Random, *, inches: bool | None = None) -> Tree:
    """One plausible job with one or two setups, its machine written into it.

    Parameters: r = where the draws come from; inches = a shop with an inch rule; drawn if None.
    """
    d = Draw(r, r.random() < 0.3 if inches is None else inches)
    hold = d.pick(HOLDS)
    piece, jigs, place = hold(d)
    machine = _machine(d, place["at"], place["tall"])
    job: dict[str, Tree] = {
        "job": "a shop drawn at random", "units": "mm",
        "hardware": "inch" if d.inches and d.chance(0.8) else "metric", "machine": machine,
        "pieces": {}, **_stock(d), "cuts": {}, "jigs": {}, "setups": {},
    }  # fmt: skip
    _add(d, job, "", piece, jigs, place["at"])
    if place["at"] == "front face" and d.chance(0.25):
        job["machine"]["under_gantry"] = Size(d.near(185))
        job["machine"]["travel"]["z"] = Size(d.near(10), upto=d.near(250))
        _add(d, job, "second ", *_clamped(d)[:2], "table")
    if any(jig.get("made") == "print" or jig.get("knob_made") == "print"
           for jig in job["jigs"].values()):  # fmt: skip
        job["printer"] = {"volume": [Size(d.near(mm)) for mm in (220, 220, 250)]}
    return job


def _add(d: Draw, job: Tree, first: str, piece: Tree, jigs: Tree, at: str) -> None:
    """One setup more, with a piece, jigs and a cut of its own."""
    turned = piece["shape"] == "turned"
    across = float((piece["dome"]["width"] if turned else piece["depth"]).mm)
    cut, cutter = (_mark if turned else _joint)(d, across)
    names = {"piece": f"{first}piece", "cut": f"{first}cut", "cutter": f"{first}cutter"}
    job["machine"]["cutters"][names["cutter"]] = cutter
    job["cuts"][names["cut"]] = {**cut, "cutter": names["cutter"]}
    job["pieces"][names["piece"]] = piece
    job["jigs"] |= {f"{first}{name}": jig for name, jig in jigs.items()}
    job["setups"][f"{first}setup"] = {"piece": names["piece"], "at": at, "cut": names["cut"],
                                      "jigs": [f"{first}{name}" for name in jigs]}  # fmt: skip


def sizes_in(tree: Tree, keys: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """The key path of every Size."""
    if isinstance(tree, Size):
        yield keys
    elif isinstance(tree, dict):
        for key, value in tree.items():
            yield from sizes_in(value, (*keys, key))
    elif isinstance(tree, list):
        for i, value in enumerate(tree):
            yield from sizes_in(value, (*keys, i))
