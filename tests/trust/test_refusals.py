"""Refusals are refusals of what cannot be: shown by a search that knows no rule of the library.

Plausible shops are refused for one reason in the main: nothing that is sold goes into their slots.
The search reads the tables as plain CSV and tries everything in them.
"""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import pytest

from .searching import refused, rows, sizes
from .shops import Tree, shop

BEARS = 1.5
"""mm of lip under a head at each side. Common practice, no source: what the refusal calls bear."""


def goes_in(slot: dict[str, Any]) -> list[str]:
    """Everything of the tables that goes into a slot and bears on its lip at both sides."""
    mouth, lip, wide, room = (float(slot[w].mm) for w in ("mouth", "lip", "wide", "room"))
    found = []
    for table in ("t_slot_bolts", "t_slot_bolts_inch"):
        for row in rows(table):
            throat, head, least, high = sizes(
                row, "throat_width", "head_width", "head_width_min", "head_height"
            )
            if throat <= mouth and head < wide and high < room and least >= mouth + 2 * BEARS:
                found.append(f"{table} {row['thread']}")
    for row in rows("t_slot_nuts"):
        throat, foot, high, whole = sizes(
            row, "throat_width", "foot_width", "foot_height", "height"
        )
        neck = whole - high
        enters = throat <= mouth and foot < wide and high < room and neck <= lip
        if enters and foot >= mouth + 2 * BEARS:
            found.append(f"t_slot_nuts {row['thread']}")
    return found


def slots_of(job: Tree) -> list[dict[str, Any]]:
    """The profiles of the slots that the setups hang or stand on."""
    used = {setup["at"] for setup in job["setups"].values()}
    faces = {"table": job["machine"]["table"], "front face": job["machine"].get("front_face")}
    fixings = [faces[at]["fixing"] for at in sorted(used) if faces[at]]
    return [fixing["profile"] for fixing in fixings if fixing["anchors"] == "slots"]


def test_where_no_bolt_goes_in_none_could(tmp_path: Path) -> None:
    """Of 100 draws: such a refusal has a slot that nothing sold goes into; the others have none."""
    told = built = 0
    for i in range(100):
        job = shop(random.Random(f"refusals {i}"), inches=False)
        slots = slots_of(job)
        if not slots:
            continue
        said = refused(job, tmp_path)
        hopeless = [slot for slot in slots if not _of_series(job, goes_in(slot))]
        if "neither a T-slot bolt nor a T-slot nut" in said:
            assert hopeless, said
            told += 1
        elif not said:
            assert not hopeless, slots
            built += 1
    assert told >= 4
    assert built >= 20


def _of_series(job: Tree, found: list[str]) -> list[str]:
    """What the shop's hardware series has; nuts are metric and go with either."""
    other = "t_slot_bolts " if job["hardware"] == "inch" else "t_slot_bolts_inch "
    return [name for name in found if not name.startswith(other)]


@pytest.mark.parametrize("mm", [20, 30, 40])
def test_where_a_bolt_is_too_short_no_other_is_sold(mm: int, tmp_path: Path) -> None:
    """A shelf of short bolts only: the refusal's need is longer than all of it."""
    job = shop(random.Random("shelf 2"), inches=False)
    lengths = [float(mm - 5), float(mm)]
    job["shelf"] = {
        "coach bolt": dict.fromkeys(("M5", "M6", "M8", "M10"), lengths),
        "threaded rod": dict.fromkeys(("M6", "M8", "M10"), lengths),
    }
    said = refused(job, tmp_path)
    assert "mm or longer is needed" in said
    need = float(said.split(" mm or longer is needed")[0].rsplit(" ", 1)[-1])
    assert need > max(lengths)
