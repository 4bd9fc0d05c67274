"""The gauge's parts, where they stand, and what they touch."""

from __future__ import annotations

from collections.abc import Sequence

from jigs.kinds._common import CLEARS_CORNER, drilled
from jigs.kinds._hardware import dowel_rod
from jigs.model.kind import Placed
from jigs.model.number import Book
from jigs.model.outline import QUARTER_TURN, Outline
from jigs.model.part import Face, Part, Print, Stack, Strip
from jigs.model.pose import Pose
from jigs.model.state import Contact, Phase, Role, State


def all_parts(n: Book) -> Sequence[Part]:
    """Bar, dowels and, on a slotted table, the key."""
    made = (
        Stack(n.sheet_material, n.slices, n.sheet_name)
        if n.made == "stack"
        else Print(n.print_material)
    )
    bar = Part(
        "bar", "gauge bar", made, _profile(n), n.bar_length,
        tuple(
            drilled(f"dowel hole {side}", Face.BOTTOM, x, y, n.dowel_diameter, meets="dowel")
            for side, x, y in _dowels(n)
        ) if n.made == "stack" else (),
        eased=1.0, marks=("COUNT ME AWAY BEFORE THE SPINDLE STARTS",),
    )  # fmt: skip
    parts = [bar]
    if n.made == "stack":
        parts.append(dowel_rod(n.dowel_diameter, n.bar_length, "dowel"))
    if n.keyed:
        parts.append(Part("key", "key", Strip(n.key_wood), _key(n), n.bearing - 10))
    return parts


def all_poses(n: Book, state: State) -> Sequence[Placed]:
    """On the table while the height is set, away at all other times."""
    if state.phase is not Phase.SETTING:
        return []
    table = -n.end_height
    # The part's z runs along -y in the work frame: turned so, its x stays x and its y is up.
    upright = Pose.turned("x", 90)
    back = -n.axis_y + n.bearing
    placed = [Placed("bar", "bar", Pose.to(0, back, table) @ upright)]
    if n.made == "stack":
        placed += [
            Placed(f"dowel {side}", "dowel", Pose.to(x, back, table + y) @ upright)
            for side, x, y in _dowels(n)
        ]
    if n.keyed:
        low = table - n.key_reach
        placed.append(Placed("key", "key", Pose.to(n.key_x, back - 5, low) @ upright))
    return placed


def all_contacts(n: Book, state: State) -> Sequence[Contact]:
    """What touches while the height is set."""
    if state.phase is not Phase.SETTING:
        return []
    meant = [
        Contact("bar", "table", Role.SEATS, note="held down by hand"),
        Contact("bar", "piece", Role.SUPPORTS, note="dome at the crown"),
    ]
    if n.keyed:
        meant += [
            Contact("key", "table", Role.GUIDES, note="slides along the slot"),
            Contact("key", "bar", Role.GLUED),
        ]
    return meant


def _dowels(n: Book) -> list[tuple[str, float, float]]:
    x = n.bar_width / 2 - max(15.0, n.dowel_diameter * 1.5)
    return [("left", -x, n.bar_height - 15), ("right", x, n.bar_height - 15)]


def _profile(n: Book) -> Outline:
    """The arch, and the key's groove in its flat, seen along +y with y up."""
    half, w, h = n.arch_width / 2, n.bar_width / 2, n.bar_height
    # From chord and crown, so that a crown measured as built is the crown that is drawn:
    # the bulge of an arc is its sagitta over half its chord.
    arch: list[tuple[float, ...]] = [(-half, 0, -n.crown_height / half), (half, 0)]
    groove = _groove(n) if n.keyed else []
    foot = [*groove, *arch] if n.key_x < 0 else [*arch, *groove]
    return Outline.of([(-w, 0), *foot, (w, 0), (w, h), (-w, h)])


def _groove(n: Book) -> list[tuple[float, ...]]:
    """The key's groove, from left to right, its corners as the cutter leaves them."""
    left, right = n.key_x - n.groove_width / 2, n.key_x + n.groove_width / 2
    deep, r, turn = n.key_groove, n.routed_corner * _narrow(n), -QUARTER_TURN
    return [
        (left, 0), (left, deep - r, turn), (left + r, deep), (right - r, deep, turn),
        (right, deep - r), (right, 0),
    ]  # fmt: skip


def _key(n: Book) -> Outline:
    """The key's section, chamfered to clear the routed corners of its groove."""
    w, d, c = (
        n.key_width / 2,
        n.key_groove + n.key_reach,
        CLEARS_CORNER * n.routed_corner * _narrow(n),
    )
    return Outline.of([(-w, 0), (w, 0), (w, d - c), (w - c, d), (c - w, d), (-w, d - c)])


def _narrow(n: Book) -> float:
    """1; less for a key too narrow for a 6 mm cutter: its groove wants a thinner one."""
    return float(min(1.0, 0.45 * n.key_width / n.routed_corner))
