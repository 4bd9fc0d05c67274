"""What changes between two jobs, or two edits of one: findings, parts, hardware, numbers.

Numbers only: nothing here loads the kernel. Jigs, setups, pieces and machine are told apart by
their names; parts by the name of their jig and their own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from jigs.making.lists import hardware_rows
from jigs.making.work import pieces_of
from jigs.model.finding import Finding, Verdict
from jigs.model.number import Number, Standing, Value
from jigs.model.outline import Outline
from jigs.model.part import Bought, Cut, Fixed, Part, Stack
from jigs.sizing import Design, Jig

SAME = 1e-6
"""mm, N and so on, relative to 1: less is noise of adding up."""

MOVED = 0.005
"""Of a margin: half of the last figure that a table shows."""

Turn = Literal[
    "newly not met", "still not met", "newly met", "no longer judged", "newly judged",
    "newly asked", "no longer asked", "margin moved",
]  # fmt: skip
"""What became of a finding."""

_TURNS: tuple[Turn, ...] = (
    "newly not met", "still not met", "newly met", "no longer judged", "newly judged",
    "newly asked", "no longer asked", "margin moved",
)  # fmt: skip
_BY_HAND = (Standing.GIVEN, Standing.MEASURED, Standing.BUILT)


@dataclass(frozen=True)
class FindingChange:
    """A finding that came out otherwise; before or after is None where it was not asked."""

    turn: Turn
    before: Finding | None
    after: Finding | None

    @property
    def now(self) -> Finding:
        """The later of the two."""
        found = self.after or self.before
        assert found is not None
        return found


@dataclass(frozen=True)
class Blank:
    """How many of a part, how it is made, and its finished size: along x, y and z, mm."""

    quantity: int
    made: str
    size: tuple[float, ...]


@dataclass(frozen=True)
class CutPlace:
    """Where a cut is: its face, the size of its outline and its middle there, its depth, mm.

    `depth` None = right through.
    """

    face: str
    size: tuple[float, float]
    middle: tuple[float, float]
    depth: float | None


@dataclass(frozen=True)
class CutChange:
    """A cut that came, went, or is otherwise; `before` or `after` None where there is none."""

    name: str
    before: CutPlace | None
    after: CutPlace | None


@dataclass(frozen=True)
class PartChange:
    """A part that came, went, or is made otherwise; `shape` = its outline has another form."""

    jig: str
    part: str
    title: str
    before: Blank | None
    after: Blank | None
    shape: bool = False
    cuts: tuple[CutChange, ...] = ()

    @property
    def what(self) -> Literal["added", "removed", "changed"]:
        """What became of it."""
        if self.before is None:
            return "added"
        return "removed" if self.after is None else "changed"


@dataclass(frozen=True)
class HardwareChange:
    """How many of a bought thing there were and are."""

    designation: str
    before: int
    after: int


@dataclass(frozen=True)
class NumberChange:
    """A number that is otherwise; None where there was or is none.

    `by_hand` = it comes from the user's file, before or after.
    """

    name: str
    before: Number | None
    after: Number | None
    by_hand: bool

    @property
    def unit(self) -> str:
        """Unit of both values."""
        return self.now.unit

    @property
    def now(self) -> Number:
        """The later of the two."""
        found = self.after or self.before
        assert found is not None
        return found


@dataclass(frozen=True)
class Difference:
    """All that changes, each list with the weightiest first."""

    findings: tuple[FindingChange, ...]
    parts: tuple[PartChange, ...]
    hardware: tuple[HardwareChange, ...]
    numbers: tuple[NumberChange, ...]

    @property
    def nothing(self) -> bool:
        """Is all the same?"""
        return not (self.findings or self.parts or self.hardware or self.numbers)

    @property
    def breaks(self) -> bool:
        """Is something not met that was met, or was not asked?"""
        return any(change.turn == "newly not met" for change in self.findings)


def compare(
    before: Design, found_before: Sequence[Finding], after: Design, found_after: Sequence[Finding]
) -> Difference:
    """Compare two designs with their findings, as `jigs.check` returns them.

    Returns the Difference; lengths in mm.
    """
    return Difference(
        tuple(_findings(found_before, found_after)),
        tuple(_parts(before, after)),
        tuple(_hardware(before, after)),
        tuple(_numbers(before, after)),
    )


def _findings(before: Sequence[Finding], after: Sequence[Finding]) -> list[FindingChange]:
    old, new = _by_check(before), _by_check(after)
    changes = [
        FindingChange(turn, old.get(key), new.get(key))
        for key in dict.fromkeys((*new, *old))
        if (turn := _turn(old.get(key), new.get(key))) is not None
    ]
    return sorted(changes, key=lambda c: (_TURNS.index(c.turn), _slack(c.now)))


def _by_check(findings: Sequence[Finding]) -> dict[tuple[str, str, int], Finding]:
    """By what it is about; the same question put twice is told apart by its place."""
    found: dict[tuple[str, str, int], Finding] = {}
    for finding in findings:
        place = 0
        while (finding.of, finding.check, place) in found:
            place += 1
        found[(finding.of, finding.check, place)] = finding
    return found


def _turn(old: Finding | None, new: Finding | None) -> Turn | None:
    if new is None:
        return "no longer asked"
    if new.verdict is Verdict.NOT_MET:
        if old is not None and old.verdict is Verdict.NOT_MET:
            return "still not met"
        return "newly not met"
    if old is None:
        return "newly asked"
    if old.verdict is new.verdict:
        return "margin moved" if _moved(old, new) else None
    if new.verdict is Verdict.NOT_JUDGED:
        return "no longer judged"
    return "newly met" if old.verdict is Verdict.NOT_MET else "newly judged"


def _moved(old: Finding, new: Finding) -> bool:
    if old.margin is None or new.margin is None:
        return old.margin is not new.margin
    return abs(old.margin - new.margin) > MOVED


def _slack(finding: Finding) -> float:
    """Share of the limit that is left: the tightest stand first."""
    if finding.margin is None or finding.limit is None:
        return 0.0
    return finding.margin / (abs(finding.limit) or 1.0)


def _parts(before: Design, after: Design) -> Iterator[PartChange]:
    old, new = _parts_of(before), _parts_of(after)
    for key, (jig, part) in new.items():
        if key not in old:
            yield PartChange(*key, part.title, None, _blank(jig, part))
    for key, (jig, part) in old.items():
        if key not in new:
            yield PartChange(*key, part.title, _blank(jig, part), None)
    for key, (jig, part) in new.items():
        if key in old and (change := _part_change(*old[key], jig, part)) is not None:
            yield change


def _parts_of(d: Design) -> dict[tuple[str, str], tuple[Jig, Part]]:
    """What is made; what is bought stands in the hardware."""
    return {
        (jig.name, part.id): (jig, part)
        for _, jig in d.jigs() for part in jig.parts.values()
        if not isinstance(part.made, Bought | Fixed)
    }  # fmt: skip


def _part_change(old_jig: Jig, old: Part, jig: Jig, part: Part) -> PartChange | None:
    before, after = _blank(old_jig, old), _blank(jig, part)
    shape = _form(old.outline) != _form(part.outline)
    cuts = tuple(_cut_changes(old, part))
    if before == after and not shape and not cuts:
        return None
    return PartChange(jig.name, part.id, part.title, before, after, shape, cuts)


def _blank(jig: Jig, part: Part) -> Blank:
    size: tuple[float, ...] = ()
    if part.outline is not None:
        x0, y0, x1, y1 = part.outline.bounds
        size = tuple(_hundredth(v) for v in (x1 - x0, y1 - y0, part.thickness))
    return Blank(pieces_of(jig, part), _made(part), size)


def _made(part: Part) -> str:
    made = part.made
    stuff = getattr(made, "material", "") or getattr(made, "wood", "")
    slices = f" of {made.slices} slices" if isinstance(made, Stack) else ""
    return f"{type(made).__name__.lower()}{slices}, {stuff}"


def _cut_changes(old: Part, part: Part) -> Iterator[CutChange]:
    before, after = ({cut.name: cut for cut in p.cuts} for p in (old, part))
    for name in dict.fromkeys((*after, *before)):
        was, now = before.get(name), after.get(name)
        places = (_place(was), _place(now))
        forms = (_form(cut.outline if cut else None) for cut in (was, now))
        if places[0] != places[1] or next(forms) != next(forms):
            yield CutChange(name, *places)


def _place(cut: Cut | None) -> CutPlace | None:
    if cut is None:
        return None
    x0, y0, x1, y1 = cut.outline.bounds
    return CutPlace(
        str(cut.face), (_hundredth(x1 - x0), _hundredth(y1 - y0)),
        (_hundredth((x0 + x1) / 2), _hundredth((y0 + y1) / 2)),
        None if cut.depth is None else _hundredth(cut.depth),
    )  # fmt: skip


def _hundredth(mm: float) -> float:
    """What a caliper tells."""
    return round(mm, 2) + 0.0


def _form(outline: Outline | None) -> tuple[tuple[float, ...], ...]:
    return tuple(
        (*(_hundredth(v) for v in (*side.start, *side.end)), round(side.bulge, 4) + 0.0)
        for side in (outline.sides if outline else ())
    )


def _hardware(before: Design, after: Design) -> list[HardwareChange]:
    old, new = (
        {_bought(row.family, row.designation, row.material, row.lengths): row.quantity
         for row in hardware_rows(d)}
        for d in (before, after)
    )  # fmt: skip
    changes = [
        HardwareChange(name, old.get(name, 0), new.get(name, 0))
        for name in dict.fromkeys((*new, *old))
        if old.get(name) != new.get(name)
    ]
    # What is no longer bought last: what must be bought is what one looks for.
    return sorted(changes, key=lambda c: (c.after == 0, c.designation))


def _bought(
    family: str, designation: str, material: str, lengths: Sequence[tuple[float, int]]
) -> str:
    cut = ", ".join(f"{length:g}" for length, _ in lengths)
    return f"{family} {designation}, {material}" + (f", cut to {cut} mm" if cut else "")


def _numbers(before: Design, after: Design) -> list[NumberChange]:
    old, new = before.numbers(), after.numbers()
    changes = [
        NumberChange(name, old.get(name), new.get(name), _by_hand(old.get(name), new.get(name)))
        for name in dict.fromkeys((*new, *old))
        if not _same(old.get(name), new.get(name))
    ]
    return sorted(changes, key=lambda c: (not c.by_hand, -_share(c), c.name))


def _by_hand(old: Number | None, new: Number | None) -> bool:
    return any(number is not None and number.standing in _BY_HAND for number in (old, new))


def _same(old: Number | None, new: Number | None) -> bool:
    if old is None or new is None:
        return old is new
    return _alike(old.value, new.value) and (old.standing in _BY_HAND) == (new.standing in _BY_HAND)


def _alike(old: Value, new: Value) -> bool:
    if isinstance(old, tuple) and isinstance(new, tuple):
        return len(old) == len(new) and all(map(_alike, old, new))
    if isinstance(old, float | int) and isinstance(new, float | int):
        return abs(old - new) <= SAME * max(1.0, abs(old), abs(new))
    return old == new


def _share(change: NumberChange) -> float:
    """By which share of itself a number changed; 1 for what is no number, came or went."""
    old, new = change.before, change.after
    if old is None or new is None:
        return 1.0
    if not isinstance(old.value, float | int) or not isinstance(new.value, float | int):
        return 1.0
    return min(1.0, abs(new.value - old.value) / (max(abs(old.value), abs(new.value)) or 1.0))
