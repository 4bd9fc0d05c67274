"""A fit coupon: ladders of dados and bores, cut first, in the sheet that the jigs are cut from.

::

         dado ladder, open at this edge
    +--| |---|  |---|   |---|    |--+
    |  | |   |  |   |   |   |    |  |
    |  '-'   '--'   '---'   '----'  |     every row gets wider from left to right;
    )                               |     the notch is at the small end
    |   o     o     O     O     O   |     one row of bores for each diameter
    +-------------------------------+

The cutter, the machine and the wood decide together what comes out. So the widths that the jigs ask
for are cut a little smaller and a little larger too, and the step that fits goes back into the job.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from jigs.making.rooms import sheet_of
from jigs.making.work import Work, thickness_of, work_of
from jigs.model.outline import Outline, Point
from jigs.model.part import Bought, Cut, Does, Face, Part, Sheet, Stack
from jigs.model.relief import pocket_for_square
from jigs.shop.making import USUAL, routing_cutter
from jigs.sizing import Design, Jig

DADO_STEPS = (-0.2, -0.1, 0.0, 0.1, 0.2, 0.3, 0.4)
BORE_STEPS = (-0.2, -0.1, 0.0, 0.1, 0.2, 0.3)
"""mm from what is asked for. Common practice, no source."""

FITTED = ("insert", "dowel")
"""Families whose bores must fit. A bolt goes through with play: any size of its hole fits."""

DADO_LENGTH = 40.0
"""mm; long enough to feel a fit. Common practice, no source."""

WALL = 12.0
"""mm of wood between the steps and round them. Common practice, no source."""

NOTCH = 8.0
"""mm, diameter of the half-round notch at the small end."""

DEPTH_SHARE = 3
"""A dado is a third of the sheet deep. Common practice, no source."""

_USE = (
    "Cut this before any part, from the same sheet, with the same cutter and the same feed.",
    "In every row the sizes grow away from the notch in the left edge.",
    "Dados: try a clean edge of the same sheet. The one that it enters by hand pressure, and does "
    "not fall out of, fits. Bores: try the insert or dowel itself; a bolt's hole has play and is "
    "not tried.",
    "Measure too: dados with the inner jaws of a caliper at three places along, bores with a plug "
    "or drill shank of known size, or the jaws both ways square to each other; take the mean.",
    "Bores tell the cutter's offset: what they measure less what is listed is how much wider the "
    "cutter cuts than the diameter it is set to. Where all rows say the same, add it to that "
    "diameter, cut the coupon again, and only then write sizes into the job.",
    "Write the size that fits, as listed here, into the job where the row says so; build again.",
    "If no step fits, the cutter or its offset is not what it is said to be: measure it first.",
)
_FLAT = (Face.TOP, Face.BOTTOM)


@dataclass(frozen=True, slots=True)
class Ladder:
    """One row: `sizes` from left to right, mm, `at` = the middle of each, `depth` None = through.

    `of` = what goes in; `asked` = what the jigs are drawn with; `goes_to` = where the size that
    fits is written in the job, in plain words.
    """

    does: Does
    of: str
    asked: float
    sizes: tuple[float, ...]
    at: tuple[Point, ...]
    depth: float | None
    goes_to: tuple[str, ...]

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """The row's bores as cuts; dados are made by `Coupon`, which knows the cutter."""
        return tuple(
            Cut(f"{self.of} {size:g}", Face.TOP, Outline.circle(*at, size), self.does)
            for size, at in zip(self.sizes, self.at, strict=True)
        )


@dataclass(frozen=True, slots=True)
class Coupon:
    """The coupon of one sheet: made like any part of it; its rows from the top; how to use it."""

    stock: str
    work: Work
    ladders: tuple[Ladder, ...]
    use: tuple[str, ...]


def coupons(d: Design) -> tuple[Coupon, ...]:
    """One coupon for each sheet that dados are cut in, in the job's order."""
    return tuple(
        coupon for stock in d.job.model.sheets if (coupon := _coupon(d, stock)) is not None
    )


def _coupon(d: Design, stock: str) -> Coupon | None:
    parts = list(_parts_of(d, stock))
    grooves = [
        (jig, cut) for jig, part in parts for cut in part.cuts
        if cut.does is Does.GROOVE and cut.meets and cut.face in _FLAT
    ]  # fmt: skip
    if not grooves:
        return None
    sheet = d.job.model.sheets[stock]
    thickness = sheet.measured.nominal if sheet.measured else sheet.nominal
    found = routing_cutter(d.job.machine, d.job.model.making)
    diameter = found[1].diameter if found else USUAL
    bores = _bores(parts, diameter)
    deep = max((max(sizes) for _, sizes, _ in bores), default=0.0)
    wide = thickness + max(DADO_STEPS)
    length = WALL + max(
        len(DADO_STEPS) * (wide + WALL), len(BORE_STEPS) * (deep + WALL) if bores else 0.0
    )  # fmt: skip
    rows, y = [], WALL
    for asked, sizes, used in reversed(bores):
        rows.append(_bore_row(asked, sizes, used, length, y + max(sizes) / 2))
        y += max(sizes) + WALL
    foot = y + diameter / 2
    dados = _dado_row(d, thickness, parts, length, foot)
    height = foot + DADO_LENGTH
    cuts = [*_dado_cuts(dados, foot, height, diameter / 2)]
    cuts += [cut for row in reversed(rows) for cut in row.cuts]
    part = Part(
        f"fit coupon {stock}", f"fit coupon of {stock}", Sheet(sheet.material, stock),
        _blank(length, height, y), thickness, tuple(cuts),
    )  # fmt: skip
    making = d.job.model.making
    work = work_of("fit coupon", part, 1, making, routing_cutter(d.job.machine, making),
                   thickness_of(d, part))  # fmt: skip
    assert work is not None
    return Coupon(stock, work, (dados, *reversed(rows)), _USE)


def _parts_of(d: Design, stock: str) -> Iterator[tuple[Jig, Part]]:
    """Every different part that is cut from this sheet, with its jig."""
    for _, jig in d.jigs():
        for part in jig.parts.values():
            if isinstance(part.made, Sheet | Stack) and sheet_of(d, part)[0] == stock:
                yield jig, part


Used = list[tuple[Jig, Cut]]


def _bores(
    parts: list[tuple[Jig, Part]], cutter: float
) -> list[tuple[float, tuple[float, ...], Used]]:
    """(diameter, steps, where it is used) of the round holes that the cutter can go round in."""
    found: dict[float, Used] = {}
    for jig, part in parts:
        for cut in part.cuts:
            round_hole = cut.does is Does.HOLE and cut.outline.is_circle and cut.face in _FLAT
            if round_hole and cut.meets and _takes_what_fits(jig, cut):
                diameter = round(cut.outline.sides[0].chord, 3)
                if diameter + BORE_STEPS[0] > cutter:
                    found.setdefault(diameter, []).append((jig, cut))
    return [
        (d, tuple(round(d + step, 3) for step in BORE_STEPS), used)
        for d, used in sorted(found.items())
    ]


def _takes_what_fits(jig: Jig, cut: Cut) -> bool:
    part = jig.parts.get(_thing(cut.meets).replace(" ", "_"))
    return part is not None and isinstance(part.made, Bought) and part.made.family in FITTED


def _bore_row(
    asked: float, sizes: tuple[float, ...], used: Used, length: float, y: float
) -> Ladder:
    of = ", ".join(dict.fromkeys(_thing(cut.meets) for _, cut in used))
    goes = dict.fromkeys(
        line for jig, cut in used for line in _goes_to(jig, "hole", asked, _thing(cut.meets))
    )
    return Ladder(Does.HOLE, of, asked, sizes, _spread(len(sizes), length, y), None, tuple(goes))


def _dado_row(
    d: Design, thickness: float, parts: list[tuple[Jig, Part]], length: float, foot: float
) -> Ladder:
    sizes = tuple(round(thickness + step, 3) for step in DADO_STEPS)
    jigs = {jig.name: jig for jig, _ in parts}
    goes = [line for jig in jigs.values() for line in _goes_to(jig, "dado_width", None, "")]
    return Ladder(
        Does.GROOVE, "a piece of the same sheet", thickness, sizes,
        _spread(len(sizes), length, foot + DADO_LENGTH / 2), round(thickness / DEPTH_SHARE, 1),
        tuple(goes),
    )  # fmt: skip


def _goes_to(jig: Jig, ending: str, asked: float | None, meets: str) -> list[str]:
    """`jigs: clamp: built: {dado_width: ...}` for each number of the jig that this row measures.

    Those are the numbers that the user may set whose name ends so; of several holes, those that
    are as wide as this one.
    """
    found = []
    for name, card in jig.kind.rules.cards.items():
        if not (name.endswith(ending) and card.settable and card.unit == "mm"):
            continue
        value = jig.n[name].value
        if asked is None or (isinstance(value, float) and abs(value - asked) < 1e-3):
            found.append(f"jigs: {jig.name}: built: {{{name}: ...}}")
    if not found and asked is not None:
        return [
            f"{jig.name}, for {meets}: no number of the job takes it; choose bit or offset of the "
            f"cutter so that {asked:g} mm comes out as the step that fits"
        ]
    return found


def _thing(meets: str) -> str:
    """`drawbolt left` and `fence_bolt` as the things that they are: drawbolt, fence bolt."""
    words = meets.replace("_", " ").split()
    return " ".join(w for w in words if w not in ("left", "right") and not w.isdigit())


def _spread(n: int, length: float, y: float) -> tuple[Point, ...]:
    """n places from left to right with as much wood between as goes, mm."""
    step = (length - WALL) / n
    return tuple((round(WALL / 2 + step * (i + 0.5), 3), round(y, 3)) for i in range(n))


def _dado_cuts(row: Ladder, foot: float, top: float, radius: float) -> Iterator[Cut]:
    """Dados open at the upper edge; below they run on by the cutter's radius."""
    for size, (x, _) in zip(row.sizes, row.at, strict=True):
        pocket = pocket_for_square(
            x - size / 2, foot, x + size / 2, top, radius, "overrun", ("high",), "y"
        )
        yield Cut(f"dado {size:g}", Face.TOP, pocket, Does.GROOVE, row.depth, row.of)


def _blank(length: float, height: float, y: float) -> Outline:
    """A rectangle with a half-round notch in its left edge, at the small end of the rows."""
    r = NOTCH / 2
    return Outline.of(
        [(0, 0), (length, 0), (length, height), (0, height), (0, y + r, -1.0), (0, y - r)]
    )
