"""What must hold of the riser's numbers: high enough, boxed in, under the piece, flat on metal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from jigs.kinds._anchoring import clear_of_slots
from jigs.kinds.riser.sizing import BESIDE, COMMON
from jigs.model.finding import Finding, at_least, at_most
from jigs.model.number import Book

GAP_UNDER_THE_CLAMP = 3.5
"""mm: faces end 0.5 above the table and are rebated 3 more; fences end at 2. Derived."""


def number_checks(n: Book) -> Sequence[Finding]:
    """High enough, boxed in, under the piece, flat on metal."""
    return [*_height(n), *_boxed(n), *_bears(n), *_key(n)]


def _height(n: Book) -> list[Finding]:
    """High enough for the spindle, too high to get out of its box."""
    return [
        at_least(n.rise, n.rise_needed, group="reach", levers=("+layers",),
                 check="raised enough for the spindle to come down to the cut and the zero",
                 source="derived from the machine's travel",
                 equation="lowest nut - (shortest piece - depth - 5.5 + stick-out)",
                 reads=("rise", "rise_needed", "length_least", "cut_depth", "stick_out",
                        "travel_z_least"),
                 why="the zero is touched on jaws and fences, 5.5 mm below the floor of the cut"),
        at_least(n.rise, GAP_UNDER_THE_CLAMP + 2, group="hold", source=COMMON,
                 check="the riser cannot slip under faces and fences", levers=("+layers",),
                 why="3.5 mm under the faces' rebates, and 2 mm to spare", reads=("rise",)),
    ]  # fmt: skip


def _boxed(n: Book) -> list[Finding]:
    """Smaller than the smallest piece, but not by much, wherever it lies in its box."""
    low, high = n.riser_reach
    sides = [("jaws", "width", float(n.riser_width))]
    if n.made == "block":
        sides.append(("fences", "depth", float(high - low)))
    found = []
    for who, side, mine in sides:
        smaller, larger = (
            (("-riser_width",), ("+riser_width",)) if side == "width" else ((), ())
        )  # fmt: skip
        least, most = getattr(n, f"{side}_least"), getattr(n, f"{side}_most")
        found += [
            at_least(least - mine, 1.0, group="fit", source=COMMON, levers=smaller,
                     check=f"the {who} close on the piece, not on the riser",
                     governs="the smallest piece"),
            at_most(most - mine, least / 3, group="hold", source=COMMON, levers=larger,
                    check=f"the riser bears the piece's middle, across its {side}",
                    why="what hangs over with the riser at one side of its box",
                    governs="the largest piece on the riser of the smallest"),
        ]  # fmt: skip
    return found


def _bears(n: Book) -> list[Finding]:
    """Its edges on metal, at either end of its play."""
    mouth, (low, high) = n.table_slot_mouth, n.riser_reach
    found: list[Finding] = []
    if not mouth:
        return found
    about: dict[str, Any] = {"group": "place", "source": COMMON}
    fixed, deep = -n.width_nominal / 2, high - low
    if n.slots_u:
        starts = (fixed, fixed + n.width_most - n.riser_width)
        clear = min(clear_of_slots(at, at + n.riser_width, n.slots_u, mouth) for at in starts)
        found.append(
            at_least(clear, 0.5, check="the riser's edges stand on metal, along x", **about,
                     why="or it rocks; only a slot from jaw to jaw can be bridged by a plate: turn "
                     "the clamp with fixed_side")
        )  # fmt: skip
    if n.slots_v and n.made == "plate":
        clear = clear_of_slots(low, high, n.slots_v, mouth)
        found.append(at_least(clear, BESIDE, check="the plate bears beside the slots that it "
                              "bridges", why="on both sides of each mouth", **about))  # fmt: skip
    elif n.slots_v:
        datum = n.depth_nominal / 2
        starts = (datum - n.depth_most, datum - deep)
        clear = min(clear_of_slots(at, at + deep, n.slots_v, mouth) for at in starts)
        found.append(
            at_least(clear, 0.5, check="the riser's edges stand on metal, along y", **about,
                     why="or it rocks: made: plate bridges the slot")
        )  # fmt: skip
    return found


def _key(n: Book) -> list[Finding]:
    """The key guides, and leaves wood over its groove."""
    if not n.key_width:
        return []
    return [
        at_least(n.key_into_slot, 2.0, group="hold", check="the riser's key reaches into the slot",
                 source=COMMON, levers=("+key_into_slot",)),
        at_least(n.sheet_least - n.key_groove, n.sheet_least / 2, group="strength",
                 check="sheet left over the key's groove", source=COMMON, levers=("-key_groove",)),
    ]  # fmt: skip
