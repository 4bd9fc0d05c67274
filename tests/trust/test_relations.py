"""What must hold between two jobs, whatever the numbers are.

* Written in inches or in millimetres, a job is the same job.
* A larger piece never needs a smaller opening.
* More torque never holds less.
* A machine mirrored in x holds the piece where the mirror shows it.
* The order of keys changes nothing but the lines that are named.
"""

from __future__ import annotations

import copy
import math
import random
from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from jigs.checks.hold import check_hold
from jigs.errors import JigsError
from jigs.model.number import Number
from jigs.reading.job import read_job
from jigs.sizing import Design, design

from .judging import Outcome, judge
from .shops import Size, Tree, shop, text_of
from .work import reported

ROOT = Path(__file__).parents[2]


def sized(job: Tree, folder: Path) -> Design | None:
    """Its numbers; None where it is refused."""
    file = folder / "job.yaml"
    file.write_text(text_of(job), encoding="utf-8")
    try:
        return design(read_job(file))
    except JigsError:
        return None


def judged(job: Tree, folder: Path, **how: bool) -> Outcome:
    """The outcome of a job written so."""
    file = folder / "job.yaml"
    file.write_text(text_of(job, **how), encoding="utf-8")
    return judge(file)


def shops_that_build(
    folder: Path, name: str, count: int, *, inches: bool = False, fit: Callable[[Tree], bool] = bool
) -> Iterator[tuple[Tree, Design]]:
    """So many plausible shops that are not refused."""
    found = at = 0
    while found < count:
        job = shop(random.Random(f"{name} {at}"), inches=inches)
        at += 1
        assert at < 40 * count, f"{found} shops in {at} draws: the generator no longer fits"
        made = sized(job, folder) if fit(job) else None
        if made is not None:
            found += 1
            yield job, made


# ---- inches -------------------------------------------------------------------------------------


def test_a_job_in_inches_is_the_same_in_millimetres(tmp_path: Path) -> None:
    """25.4 mm to the inch: multiples of 1/64 in are finite decimals of a millimetre."""
    for job, in_mm in shops_that_build(tmp_path, "inch", 4, inches=True):
        outcome, other = judged(job, tmp_path), judged(job, tmp_path, inches=True)
        assert other.design is not None, other.said
        one, two = in_mm.numbers(), other.design.numbers()
        assert list(one) == list(two)
        for name, number in one.items():
            assert alike(number.value, two[name].value), name
        for f, g in zip(outcome.findings, other.findings, strict=True):
            assert (f.of, f.check, f.verdict, f.governs) == (g.of, g.check, g.verdict, g.governs)
            assert alike(f.value, g.value), f.check
            assert alike(f.limit, g.limit), f.check


def alike(one: Any, other: Any) -> bool:
    """The same but for the last digits."""
    if isinstance(one, tuple):
        return len(one) == len(other) and all(map(alike, one, other))
    if isinstance(one, float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)
    return bool(one == other)


# ---- size ---------------------------------------------------------------------------------------


def grown(job: Tree, by: Fraction) -> Tree:
    """The job with its largest piece that much larger; thinnest, stock and machine as they are."""
    larger = copy.deepcopy(job)
    (piece,) = larger["pieces"].values()
    if piece["shape"] == "turned":
        size = piece["grip_diameter"]
        piece["grip_diameter"] = Size(size.mm, upto=size.upto + by)
    else:
        for word in ("width", "depth"):
            size = piece[word]
            piece[word] = Size(size.mm + by, size.off)
    return larger


def size_of(numbers: Mapping[str, Number], name: str) -> float:
    """A number's value, which is one."""
    value = numbers[name].value
    assert isinstance(value, int | float)
    return float(value)


NEEDS = {
    "ring.bore_radius", "ring.gap", "ring.open_gap", "ring.fixed_width", "clamp.opening",
    "clamp.jaw_length", "clamp.drawbolt_need", "clamp.base_width", "holder.bar_length",
    "holder.stud_reach", "holder.stud_length",
}  # fmt: skip
"""Numbers that make room for the piece."""


def test_a_larger_piece_never_needs_a_smaller_opening(tmp_path: Path) -> None:
    seen: set[str] = set()
    single = shops_that_build(tmp_path, "size", 8, fit=lambda job: len(job["pieces"]) == 1)
    for job, made in single:
        before = made.numbers()
        for tenths in (3, 8, 15):
            larger = sized(grown(job, Fraction(tenths, 10)), tmp_path)
            if larger is None:
                break  # too large for the lining, the bolts or the table: it is said
            after = larger.numbers()
            for name in NEEDS & set(before):
                assert size_of(after, name) >= size_of(before, name) - 1e-9, (name, tenths)
                seen.add(name)
            before = after
    assert seen == NEEDS


# ---- torque -------------------------------------------------------------------------------------

TORQUES = {
    ("allotment", "ring.closing_torque"), ("allotment", "clamp.drawbolt_torque"),
    ("allotment", "clamp.hold_torque"), ("allotment", "ring.hang_torque"),
    ("stool", "clamp.drawbolt_torque"), ("skittles", "ring.closing_torque"),
}  # fmt: skip


@pytest.mark.parametrize(("name", "torque"), sorted(TORQUES))
def test_more_torque_never_holds_less(name: str, torque: str) -> None:
    """Of what is asked for at least, nothing that holds by friction gets less; a gain is seen."""
    job = read_job(ROOT / f"configs/{name}.yaml")
    owner = torque.split(".")[0]
    now = size_of(design(job).numbers(), torque)
    before: dict[str, float] = {}
    gained = False
    for share in (0.6, 0.8, 1.0, 1.3):
        made = design(job, {torque: now * share})
        after = {
            f.check: f.value
            for f in check_hold(made)
            if f.of == owner and f.group == "hold" and f.sense == "at least" and f.limit == 1.5
            if f.value is not None
        }
        for check, held in before.items():
            assert after[check] >= held - 1e-9, (check, share)
            gained = gained or after[check] > held * 1.05
        before = after
    assert before, "nothing is asked to hold"
    # The allotment's ring is stopped by its turns, before this torque is.
    assert gained or (name, torque) == ("allotment", "ring.closing_torque")


# ---- mirror -------------------------------------------------------------------------------------


def mirrored(job: Tree) -> Tree:
    """The job on a machine mirrored in x, a clamp's fixed jaw on the other side."""
    other = copy.deepcopy(job)
    machine = other["machine"]
    width = machine["table"]["width"].mm
    machine["travel"]["x"] = _flipped(machine["travel"]["x"], width)
    faces = [machine["table"], machine.get("front_face")]
    for fixing in (face["fixing"] for face in faces if face):
        if fixing["anchors"] == "slots" and fixing["along"] == "y":
            fixing["at"] = [_flipped(at, width) for at in reversed(fixing["at"])]
        if fixing["anchors"] == "holes":
            last = fixing["first"][0].mm + (fixing["columns"] - 1) * fixing["pitch"].mm
            fixing["first"][0] = Size(width - last)
    for jig in other["jigs"].values():
        if jig["kind"] == "end_grain_clamp":
            side = jig["fixed_side"]
            jig["fixed_side"] = {"left": "right", "right": "left"}.get(side, side)
    return other


def _flipped(size: Size, width: Fraction) -> Size:
    if size.upto is not None:
        return Size(width - size.upto, upto=width - size.mm)
    return Size(width - size.mm)


def key_distance(made: Design) -> float | None:
    """From the piece's axis to a gauge's key, where a slot of the table guides one; mm."""
    keys = [
        jig.n.key_x for _, jig in made.jigs() if jig.kind.name == "height_gauge" and jig.n.keyed
    ]
    return abs(keys[0]) if keys else None


def either_hand(job: Tree, key: float) -> bool:
    """Would a key on the left and one on the right put the piece as near to the table's middle?"""
    table = job["machine"]["table"]
    middle = float(table["width"].mm) / 2
    slots = [float(at.mm) for at in table["fixing"]["at"]]
    left, right = (min(abs(slot - x - middle) for slot in slots) for x in (-key, key))
    return abs(left - right) < 1e-6


def test_a_machine_mirrored_in_x_mirrors_the_place(tmp_path: Path) -> None:
    """Where a gauge's key serves on either side alike it is on the right, and the piece as far
    from the middle.
    """
    aside = guided = 0
    for job, made in shops_that_build(tmp_path, "mirror", 30):
        other = sized(mirrored(job), tmp_path)
        assert other is not None
        width = float(job["machine"]["table"]["width"].mm)
        key = key_distance(made)
        for one, two in zip(made.setups, other.setups, strict=True):
            off, mirror = one.n.axis_x - width / 2, two.n.axis_x - width / 2
            if key is not None and either_hand(job, key):
                assert abs(mirror) == pytest.approx(abs(off), abs=1e-6)
            else:
                assert mirror == pytest.approx(-off, abs=1e-6)
            assert two.n.axis_y == pytest.approx(one.n.axis_y, abs=1e-6)
            assert two.n.end_height == pytest.approx(one.n.end_height, abs=1e-9)
            aside += abs(off) > 1
        guided += key is not None and not either_hand(job, key)
    assert aside >= 4, "most stand in the middle, and tell nothing"
    assert guided >= 2, "few gauges have a key, and of those that have none tells a side"


# ---- order --------------------------------------------------------------------------------------


def shuffled(tree: Tree, r: random.Random) -> Tree:
    """The same with the keys of every mapping in another order."""
    if isinstance(tree, dict):
        keys = list(tree)
        r.shuffle(keys)
        return {key: shuffled(tree[key], r) for key in keys}
    if isinstance(tree, list):
        return [shuffled(item, r) for item in tree]
    return tree


def without_lines(data: Any) -> Any:
    """A report without the places in the file, its lists in an order of their own."""
    if isinstance(data, dict):
        return {key: without_lines(value) for key, value in data.items() if key != "where"}
    if isinstance(data, list):
        return sorted((without_lines(item) for item in data), key=repr)
    return data


def test_the_order_of_keys_changes_nothing(tmp_path: Path) -> None:
    r = random.Random("order")
    for job, _ in shops_that_build(tmp_path, "keys", 3):
        outcome, other = judged(job, tmp_path), judged(shuffled(job, r), tmp_path)
        assert without_lines(reported(other)) == without_lines(reported(outcome))
