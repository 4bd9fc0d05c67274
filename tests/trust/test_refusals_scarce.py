"""Where one thing is scarce, a shop is refused where nothing would do, and only there.

Plausible shops in which rows, columns or slots are few and anywhere, a board is thin or a piece
short. Each search tries everything that is free there, reads the tables as plain CSV, and calls no
rule. What it needs of the jig round it (how wide a ring is, how thick its board) it takes from the
same shop with plenty of what is scarce.
"""

from __future__ import annotations

import copy
import math
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

from jigs.errors import JigsError
from jigs.model.number import Book
from jigs.reading.job import read_job
from jigs.sizing import design

from .searching import refused, rows
from .shops import Size, Tree, shop, text_of

HAIR = 1e-6
"""mm; noise of sums."""


@dataclass(frozen=True)
class Scarce:
    """One thing drawn scarce in a plausible shop, and the search for what would still do.

    plenty = makes the same shop one where it is not scarce, to take from it the numbers round it;
    would_do = everything that would, from the job and those numbers.
    """

    says: str
    kind: str
    draw: Callable[[random.Random, Tree], None]
    plenty: Callable[[Tree, str], None]
    would_do: Callable[[Tree, Book], Sequence[Any]]


def tenths(r: random.Random, least: float, most: float) -> Size:
    """A length on the tenth of a millimetre."""
    return Size(Fraction(r.randint(math.ceil(10 * least), math.floor(10 * most)), 10))


def somewhere(r: random.Random, low: float, high: float, apart: float, count: int) -> list[Size]:
    """So many places from low to high, none too near another; fewer where there is no room."""
    found: list[Size] = []
    for _ in range(4 * count):
        place = tenths(r, low, high)
        if len(found) < count and all(abs(place.mm - at.mm) > apart for at in found):
            found.append(place)
    return sorted(found, key=lambda size: size.mm)


PROFILE = {"mouth": Size(Fraction("10.2")), "lip": Size(Fraction(9)), "wide": Size(Fraction(17)),
           "room": Size(Fraction("7.5"))}  # fmt: skip
"""A slot for M8: that nothing goes in is another test."""


def few_rows(r: random.Random, job: Tree) -> None:
    """Two to six slots along x anywhere in a front face, or high up in it.

    The face stands in front of the table and ends just below its surface.
    """
    face = job["machine"]["front_face"]
    face |= {"y": Size(Fraction(-30)), "z": Size(face["z"].mm, upto=Fraction(-2))}
    lowest = max(float(face["z"].mm), -r.choice((50, 1000, 1000, 1000)))
    at = somewhere(r, lowest + 9, -11, 18, r.randint(2, 6))
    face["fixing"] = {"anchors": "slots", "along": "x", "at": at, "profile": PROFILE}


def rows_at(job: Tree) -> list[float]:
    """Their heights."""
    return [float(at.mm) for at in job["machine"]["front_face"]["fixing"]["at"]]


def by_hand(number: str, values: Sequence[float]) -> Callable[[Tree, str], None]:
    """Put a number of the jig in the place of what a rule would say or refuse."""

    def put(job: Tree, jig: str) -> None:
        job["jigs"][jig]["set"] = {number: list(values)}

    return put


def rows_behind_a_board(job: Tree, n: Book) -> list[tuple[float, float]]:
    """Two rows below the ring's top by 15 mm of board; the board is as long as it has to be."""
    there = [z for z in rows_at(job) if z <= -n.ring_drop - 15 + HAIR]
    return list(combinations(there, 2))


def rows_for_two_bars(job: Tree, n: Book) -> list[tuple[float, float]]:
    """Two rows whose bars are behind the shortest piece, below the table, and apart for knobs."""
    foot = n.end_height - n.length_least + 10 + n.bar_height / 2
    top = -2 - max(n.bar_height, n.knob_diameter) / 2
    there = [z for z in rows_at(job) if foot - HAIR <= z <= top + HAIR]
    return [(a, b) for a, b in combinations(there, 2) if b - a >= 2 * n.bar_height - HAIR]


def few_columns(r: random.Random, job: Tree) -> None:
    """A narrow grid of holes in the front face."""
    face = job["machine"]["front_face"]
    pitch = Fraction(r.randint(16, 60))
    height = face["z"].upto - face["z"].mm
    face["fixing"] = {
        "anchors": "holes", "thread": r.choice(("M6", "M8")), "pitch": Size(pitch),
        "first": [Size(Fraction(r.randint(60, 200))), Size(face["z"].mm + pitch / 2)],
        "columns": r.randint(3, 8), "rows": int(height / pitch),
    }  # fmt: skip


def many_columns(job: Tree, jig: str) -> None:
    job["machine"]["front_face"]["fixing"]["columns"] = 20


def columns_beside_a_ring(job: Tree, n: Book) -> list[tuple[float, float]]:
    """Two columns with the fixed half and half a washer at each side between them, and 3 mm."""
    grid = job["machine"]["front_face"]["fixing"]
    washers = {row["size"]: row for row in rows("washers") if row["series"] == "large"}
    washer = max(16.0, float(washers[grid["thread"]]["outer_diameter_mm"]))
    # Marked out to whole millimetres.
    apart = 2 * (n.fixed_width / 2 + math.ceil(washer / 2 + 3))
    pitch, first = float(grid["pitch"].mm), float(grid["first"][0].mm)
    at = [first + i * pitch for i in range(grid["columns"])]
    return [(a, b) for a, b in combinations(at, 2) if b - a >= 2 * math.ceil(apart / 2) - HAIR]


def thin_front(r: random.Random, job: Tree) -> None:
    board = {"anchors": "spoilboard", "thickness": tenths(r, 6, 14)}
    job["machine"]["front_face"]["fixing"] = board


def thick_front(job: Tree, jig: str) -> None:
    job["machine"]["front_face"]["fixing"]["thickness"] = Size(Fraction(30))


def screws_that_bite(job: Tree, n: Book) -> list[tuple[float, float]]:
    """Wood screws through the thickest sheet, two diameters into the board, 2 mm short of its back.

    Diameters of 3.5 to 5 mm: thinner ones carry no board, thicker ones split it. Common practice,
    no source.
    """
    sheet, board = job["sheets"]["ply"], job["machine"]["front_face"]["fixing"]["thickness"]
    size = sheet.get("measured", sheet["nominal"])
    least, most = (float(size.mm + side * (size.off or 0)) for side in (-1, 1))
    found = []
    for row in rows("wood_screws"):
        thick = float(row["diameter_mm"])
        for long in map(float, row["lengths_mm"].split()):
            bites = long - most >= 2 * thick - HAIR
            within = long <= least + float(board.mm) - 2 + HAIR
            if 3.5 <= thick <= 5 and bites and within:
                found.append((thick, long))
    return found


def thin_table(r: random.Random, job: Tree) -> None:
    board = {"anchors": "spoilboard", "thickness": tenths(r, 7, 16)}
    job["machine"]["table"]["fixing"] = board


def thick_table(job: Tree, jig: str) -> None:
    job["machine"]["table"]["fixing"]["thickness"] = Size(Fraction(20))


def inserts_in_the_table(job: Tree, n: Book) -> list[str]:
    """Threaded inserts no longer than the board is thick, of threads that hold a clamp down: M5 and
    above with a knob on it. Common practice, no source.
    """
    deep = float(job["machine"]["table"]["fixing"]["thickness"].mm)
    found = [row["size"] for row in rows("wood_inserts") if float(row["length_mm"]) <= deep + HAIR]
    return [size for size in found if size in ("M5", "M6", "M8", "M10")]


def few_slots(r: random.Random, job: Tree) -> None:
    """Two or three slots anywhere in the table."""
    table, along = job["machine"]["table"], r.choice("xy")
    across = float(table["depth" if along == "x" else "width"].mm)
    at = somewhere(r, 9, across - 9, 18, r.randint(2, 3))
    table["fixing"] = {"anchors": "slots", "along": along, "at": at, "profile": PROFILE}


def many_slots(job: Tree, jig: str) -> None:
    table = job["machine"]["table"]
    across = table["depth" if table["fixing"]["along"] == "x" else "width"].mm
    table["fixing"]["at"] = [Size(Fraction(at)) for at in range(20, int(across) - 20, 20)]


def slots_round_a_clamp(job: Tree, n: Book) -> list[tuple[float, float]]:
    """Two slots for the clamp's hold-downs.

    Square to the jaws' travel: beside the piece. Along it: behind both jaws, the moving one open.
    """
    fixing = job["machine"]["table"]["fixing"]
    sideways = n.fixed_side in ("left", "right")
    at = [float(size.mm) for size in fixing["at"]]
    if (fixing["along"] == "y") != sideways:
        return [(a, b) for a, b in combinations(at, 2) if b - a >= n.hold_spread - HAIR]
    behind = [n.hold_reach + n.width_nominal / 2, n.hold_reach + n.opening - n.width_nominal / 2]
    found = []
    for a, b in combinations(at, 2):
        left, right = behind if n.fixed_side in ("left", "front") else behind[::-1]
        places = [a + (b - a) * i / 50 for i in range(51)] + [a + left, b - right]
        found += [(a, b) for x in places if x - a >= left - HAIR and b - x >= right - HAIR]
    return found


def short_piece(r: random.Random, job: Tree) -> None:
    """The piece that the clamp holds is drawn with another length."""
    held = next(setup["piece"] for setup in job["setups"].values() if setup["at"] == "table")
    length = job["pieces"][held]["length"]
    job["pieces"][held]["length"] = Size(Fraction(r.randint(45, 100)), length.off)


def bolts_in_a_fence(job: Tree, n: Book) -> list[tuple[str, float, float]]:
    """Coach bolts, and heights of two of them in half millimetres.

    The washer 4 mm above the base, the sunk head with 6 mm of fence round it, 3 mm between two.
    """
    washers = {row["size"]: row for row in rows("washers") if row["series"] == "large"}
    halves = [i / 2 for i in range(math.floor(2 * max(0.0, n.fence_top)) + 1)]
    found = []
    for row in (row for row in rows("coach_bolts") if row["size"] in ("M5", "M6")):
        head = math.ceil(2 * (float(row["head_diameter_mm"]) + 1.5)) / 2
        washer = float(washers[row["size"]]["outer_diameter_mm"])
        low = [z for z in halves if z - washer / 2 - 4 >= n.sheet_most - HAIR
               and z - head / 2 - 6 >= n.fence_foot - HAIR]  # fmt: skip
        high = [z for z in halves if z + head / 2 + 6 <= n.fence_top + HAIR]
        if low and high and high[-1] - low[0] >= max(washer, head) + 3 - HAIR:
            found.append((row["size"], low[0], high[-1]))
    return found


SCARCE = {
    "rows for a back board": Scarce(
        "lie behind the back board", "split_ring", few_rows, by_hand("hang_z", [-60, -160]),
        rows_behind_a_board),
    "rows for two bars": Scarce(
        "two bars need rows", "swing_stop", few_rows, by_hand("stud_z", [-60, -200]),
        rows_for_two_bars),
    "columns for a ring": Scarce(
        "columns of holes reach", "split_ring", few_columns, many_columns, columns_beside_a_ring),
    "screws into a board": Scarce(
        "no wood screw goes through", "split_ring", thin_front, thick_front, screws_that_bite),
    "inserts in a table": Scarce(
        "no insert goes into a board", "end_grain_clamp", thin_table, thick_table,
        inserts_in_the_table),
    "slots for a clamp": Scarce(
        "two anchors", "end_grain_clamp", few_slots, many_slots, slots_round_a_clamp),
    "bolts in a fence": Scarce(
        "no room for two bolts", "end_grain_clamp", short_piece, by_hand("fence_bolts_z", [40, 80]),
        bolts_in_a_fence),
}  # fmt: skip


def book_of(job: Tree, jig: str, folder: Path) -> Book | None:
    """The numbers of a jig of that job; None if it is refused."""
    file = folder / "plenty.yaml"
    file.write_text(text_of(job), encoding="utf-8")
    try:
        made = design(read_job(file))
    except JigsError:
        return None
    return next(one.n for _, one in made.jigs() if one.name == jig)


@pytest.mark.parametrize("name", SCARCE)
def test_refused_where_nothing_would_do_and_only_there(name: str, tmp_path: Path) -> None:
    scarce = SCARCE[name]
    told = built = 0
    for i in range(80):
        job = shop(random.Random(f"{name} {i}"), inches=False)
        jig = next((j for j, it in job["jigs"].items() if it["kind"] == scarce.kind), None)
        if jig is None:
            continue
        scarce.draw(random.Random(f"scarce {i}"), job)
        easy = copy.deepcopy(job)
        scarce.plenty(easy, jig)
        n = book_of(easy, jig, tmp_path)
        if n is None:
            continue  # refused for something else
        said, found = refused(job, tmp_path), scarce.would_do(job, n)
        if scarce.says in said:
            assert not found, (i, said, found[:3])
            told += 1
        elif not said:
            assert found, i
            built += 1
        if min(told, built) >= 4:
            return
    raise AssertionError(f"{told} refused, {built} built: too few to tell")
