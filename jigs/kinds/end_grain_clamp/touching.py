"""What touches what in the end-grain clamp, and what must stay apart."""

from __future__ import annotations

from jigs.kinds._knob import Knob
from jigs.kinds.end_grain_clamp.fence_parts import backer_screws_z
from jigs.kinds.end_grain_clamp.ribbing import rib_screws
from jigs.kinds.end_grain_clamp.sizing import FINGERS_BELOW
from jigs.kinds.end_grain_clamp.standing import SIDES
from jigs.model.number import Book
from jigs.model.state import Contact, Phase, Role, Room, State


def all_contacts(n: Book, state: State) -> list[Contact]:
    """The clamping pair, the fences, and all that seats, threads, bites or is glued."""
    # A riser tells itself what stands on it.
    meant = [] if n.rise else [Contact("piece", "table", Role.SEATS)]
    if state.phase is not Phase.OPEN:
        meant += _on_the_piece(n)
    for word in ("fixed", "moving"):
        meant += _jaw(n, word)
    for name, _ in SIDES:
        meant += _fence(name) + _drawbolt(name)
        for word in ("fixed", "moving"):
            meant += _hold_down(n, f"{word} {name}", f"{word} base")
    return meant + _backer(n) + _locating(n)


def _on_the_piece(n: Book) -> list[Contact]:
    """Jaws clamp it, straight or through the backer; fences steady it."""
    pairs = [("fixed face", "piece"), ("moving face", "piece")]
    steady = ["datum fence", "free fence"]
    if n.backer_in_x:
        pairs[1] = ("backer", "piece")
    if n.backer_in_y:
        steady[0] = "backer"
    return [
        *(Contact(a, b, Role.CLAMPS) for a, b in pairs),
        *(Contact(name, "piece", Role.SUPPORTS, note="steadies, does not hold") for name in steady),
    ]


def _backer(n: Book) -> list[Contact]:
    if not n.backer:
        return []
    carrier = "moving face" if n.backer_in_x else "datum fence"
    return [
        Contact("backer", carrier, Role.SEATS),
        *(
            Contact(f"backer screw {i}", what, role)
            for i in range(1, len(backer_screws_z(n)) + 1)
            for what, role in ((carrier, Role.BITES), ("backer", Role.SEATS))
        ),
    ]


def _jaw(n: Book, word: str) -> list[Contact]:
    meant = [
        Contact(f"{word} base", "table", Role.SEATS),
        Contact(f"{word} base", f"{word} face", Role.GLUED, note="in the face's rebate"),
    ]
    for i in range(1, len(n.rib_at) + 1):
        rib = f"{word} rib {i}"
        meant += [Contact(rib, f"{word} {part}", Role.GLUED) for part in ("base", "face")]
        for name, part, _ in rib_screws(n):
            screw = f"{word} screw {name} {i}"
            meant += [
                Contact(screw, rib, Role.BITES), Contact(screw, f"{word} {part}", Role.SEATS)
            ]  # fmt: skip
    return meant


def _fence(name: str) -> list[Contact]:
    meant = [Contact(f"{name} fence", "fixed face", Role.SEATS)]
    for i in (1, 2):
        bolt, nut, ring = (f"{name} fence {what} {i}" for what in ("bolt", "nut", "washer"))
        meant += [
            Contact(bolt, f"{name} fence", Role.SEATS, note="head sunk in the fence"),
            Contact(bolt, nut, Role.THREADS),
            Contact(ring, "fixed face", Role.SEATS),
            Contact(nut, ring, Role.SEATS),
        ]
    return meant


def _drawbolt(name: str) -> list[Contact]:
    rod = f"{name} drawbolt"
    meant = []
    for place in ("outer", "inner"):
        meant += [
            Contact(f"{name} {place} washer", "fixed face", Role.SEATS),
            Contact(f"{name} {place} nut", f"{name} {place} washer", Role.SEATS),
            Contact(f"{name} {place} nut", rod, Role.THREADS),
        ]
    return [
        *meant,
        Contact(f"{name} moving washer", "moving face", Role.SEATS),
        *Knob.contacts(f"{name} drawbolt", f"{name} moving washer", rod),
    ]


def _hold_down(n: Book, name: str, base: str) -> list[Contact]:
    return [
        *_in_the_table(n, f"{name} stud"),
        Contact(f"{name} hold-down washer", base, Role.SEATS),
        *Knob.contacts(f"{name} hold-down", f"{name} hold-down washer", f"{name} stud"),
    ]


def _in_the_table(n: Book, stud: str) -> list[Contact]:
    """A stud under a slot's lip, in a thread of the table, or in an insert in a board."""
    match n.hold_by:
        case "T-slot bolt":
            return [Contact(stud, "table", Role.SEATS)]
        case "T-slot nut":
            return [
                Contact(f"{stud} nut", "table", Role.SEATS),
                Contact(f"{stud} nut", stud, Role.THREADS),
            ]
        case "insert":
            return [
                Contact(f"{stud} insert", "table", Role.BITES),
                Contact(f"{stud} insert", stud, Role.THREADS),
            ]
        case _:
            return [Contact(stud, "table", Role.THREADS)]


def _locating(n: Book) -> list[Contact]:
    if n.located_by == "dowels":
        return [
            Contact(f"dowel {i}", what, role)
            for i in (1, 2)
            for what, role in (("fixed base", Role.GUIDES), ("table", Role.SEATS))
        ]
    if n.located_by != "key":
        return []
    return [
        Contact("key", "fixed base", Role.GLUED),
        Contact("key", "table", Role.GUIDES),
        Contact("stop block", "table", Role.SEATS),
        Contact("stop block", "fixed base", Role.SEATS, note="pushed against it each time"),
        *_in_the_table(n, "stop bolt"),
        Contact("stop washer", "stop block", Role.SEATS),
        Contact("stop nut", "stop washer", Role.SEATS),
        Contact("stop nut", "stop bolt", Role.THREADS),
    ]


def all_rooms(n: Book, state: State) -> list[Room]:
    """Room for the piece to go in, and for fingers round the knobs."""
    if state.phase is Phase.OPEN:
        inner = "backer" if n.backer_in_x else "moving face"
        return [
            Room("piece", inner, 0.5, "the piece goes in by hand", ("+opening",)),
            Room("piece", "fixed face", 0.5, "the piece goes in by hand", ("+opening",)),
            Room("piece", "free fence", 0.5, "the piece goes in by hand", ("+fence_travel",)),
        ]
    if state.phase is not Phase.CLOSED:
        return []
    last, fingers = len(n.rib_at), "fingers go round the knob"
    # A jaw's ribs count along its own y: the moving jaw's last one stands on the datum side.
    return [
        Room("datum drawbolt knob", f"moving rib {last}", 12.0, fingers, ("+drawbolt_y",)),
        Room("free drawbolt knob", "moving rib 1", 12.0, fingers, ("+drawbolt_y",)),
        Room(
            "datum drawbolt knob",
            "moving base",
            FINGERS_BELOW - 0.5,
            fingers,
            ("+drawbolt_height",),
        ),
        Room("moving datum hold-down knob", f"moving rib {last}", 12.0, fingers, ("-rib_depth",)),
        Room("fixed datum hold-down knob", "fixed rib 1", 12.0, fingers, ("-rib_depth",)),
    ]
