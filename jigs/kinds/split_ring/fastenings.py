"""What the back board hangs on, piece by piece: parts, places, contacts, and the holes for them.

One class for each way of hanging. `at` = where a fastening goes through the back board.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

from jigs import tables
from jigs.kinds._common import drilled
from jigs.kinds._hardware import (
    dowel_rod,
    hex_nut,
    hex_screw,
    t_slot_bolt,
    t_slot_nut,
    threaded_rod,
    washer,
    wood_screw,
)
from jigs.kinds.split_ring.hanging import BOLTS, DOWEL, EDGE, NUTS, SCREWS, WOOD_SCREWS
from jigs.model.kind import BoardHole, Placed
from jigs.model.number import Book
from jigs.model.part import Cut, Does, Face, Part
from jigs.model.pose import Pose
from jigs.model.state import Contact, Role

OUT = Pose.turned("x", 90)
"""Local z towards the operator."""

IN = Pose.turned("x", -90)
"""Local z towards the machine."""

ALONG = OUT @ Pose.turned("z", 90)
"""As OUT, with the part's local y along the slot."""


@dataclass(frozen=True, slots=True)
class At:
    """Middle of a fastening: its name, and x, z in the jig's frame, mm."""

    name: str
    x: float
    z: float


def corners(n: Book) -> Iterator[At]:
    """The four fastenings of the back board."""
    for row, z in zip(("upper", "lower"), n.hang_z, strict=True):
        for side, sign in (("left", -1), ("right", 1)):
            yield At(f"{row} {side}", sign * n.hang_x, z - n.end_height)


def face_y(n: Book) -> float:
    """y of the front face in the jig's frame, where the back board lies against it, mm."""
    return float(n.stand_off - n.nominal_offset + n.sheet_nominal)


class Fastening(Protocol):
    """One way of hanging."""

    def parts(self, n: Book) -> list[Part]:
        """Every different part of a fastening."""
        ...

    def poses(self, n: Book, at: At) -> list[Placed]:
        """Where the parts of one fastening stand."""
        ...

    def contacts(self, name: str, through: str) -> list[Contact]:
        """What touches in the fastening of that name that goes through that part."""
        ...

    def cuts(self, n: Book, at: At) -> list[Cut]:
        """Holes for it in the back board."""
        ...

    def face_holes(self, n: Book, at: At) -> list[BoardHole]:
        """Holes for it that the user drills into the front face."""
        ...


class _InSlots:
    """What T-slot bolts and T-slot nuts share: washer and nut before the board, no new holes."""

    def cuts(self, n: Book, at: At) -> list[Cut]:
        """One clearance hole."""
        hole = tables.clearance_hole(n.hang_size).hole_medium
        return [drilled(f"hanging hole {at.name}", Face.BOTTOM, at.x, at.z, hole,
                        meets="t_slot_bolt" if n.hang_by == BOLTS else "rod")]  # fmt: skip

    def face_holes(self, n: Book, at: At) -> list[BoardHole]:
        """None: the slots are there."""
        return []

    def _before(self, n: Book) -> list[Part]:
        return [washer(n.hang_size, "large", "hanging_washer"), hex_nut(n.hang_size, "hanging_nut")]

    def _before_at(self, n: Book, at: At) -> list[Placed]:
        front = face_y(n) - n.sheet_nominal
        thick = tables.washer(n.hang_size, "large").thickness
        return [
            Placed(f"hanging washer {at.name}", "hanging_washer", Pose.to(at.x, front, at.z) @ OUT,
                   "hanging"),
            Placed(f"hanging nut {at.name}", "hanging_nut",
                   Pose.to(at.x, front - thick, at.z) @ OUT, "hanging"),
        ]  # fmt: skip

    def _before_touches(self, name: str, through: str, shank: str) -> list[Contact]:
        return [
            Contact(shank, f"hanging nut {name}", Role.THREADS),
            Contact(f"hanging washer {name}", through, Role.SEATS),
            Contact(f"hanging nut {name}", f"hanging washer {name}", Role.SEATS),
        ]


class SlotBolts(_InSlots):
    """A T-slot bolt under the slot's lip, washer and nut on the back board."""

    def parts(self, n: Book) -> list[Part]:
        """Bolt, washer, nut."""
        bolt = t_slot_bolt(n.hang_size, n.hang_length, n.hang_head_width, n.hang_head_height,
                           "t_slot_bolt")  # fmt: skip
        return [bolt, *self._before(n)]

    def poses(self, n: Book, at: At) -> list[Placed]:
        """The head's face under the lip."""
        seat = Pose.to(at.x, face_y(n) + n.front_slot_lip, at.z)
        bolt = Placed(f"T-slot bolt {at.name}", "t_slot_bolt", seat @ OUT, "hanging")
        return [bolt, *self._before_at(n, at)]

    def contacts(self, name: str, through: str) -> list[Contact]:
        """Head under the lip, nut and washer before the board."""
        bolt = f"T-slot bolt {name}"
        return [
            Contact(bolt, "front face", Role.SEATS),
            *self._before_touches(name, through, bolt),
        ]


class SlotNuts(_InSlots):
    """A T-slot nut under the slot's lip, a piece of rod, washer and nut on the back board."""

    def parts(self, n: Book) -> list[Part]:
        """T-slot nut, rod, washer, nut."""
        rod = threaded_rod(n.hang_size, n.hang_length, "rod")
        return [t_slot_nut(n.hang_throat, "t_slot_nut"), rod, *self._before(n)]

    def poses(self, n: Book, at: At) -> list[Placed]:
        """The foot under the lip; the rod ends flush with it, clear of the slot's floor."""
        low = Pose.to(at.x, face_y(n) + n.front_slot_lip + n.hang_head_height, at.z)
        return [
            Placed(f"T-slot nut {at.name}", "t_slot_nut", low @ ALONG, "hanging"),
            Placed(f"rod {at.name}", "rod", low @ OUT, "hanging"),
            *self._before_at(n, at),
        ]

    def contacts(self, name: str, through: str) -> list[Contact]:
        """Foot under the lip, rod in both nuts, washer before the board."""
        rod = f"rod {name}"
        return [
            Contact(f"T-slot nut {name}", "front face", Role.SEATS),
            Contact(rod, f"T-slot nut {name}", Role.THREADS,
                    note="flush with the nut's lower face, held by thread-locking compound"),
            *self._before_touches(name, through, rod),
        ]  # fmt: skip


class Screws:
    """A hexagon screw with a large washer, through the board into a threaded hole."""

    def parts(self, n: Book) -> list[Part]:
        """Screw and washer."""
        return [
            hex_screw(n.hang_size, n.hang_length, "hanging_screw"),
            washer(n.hang_size, "large", "hanging_washer"),
        ]

    def poses(self, n: Book, at: At) -> list[Placed]:
        """The washer on the board's front, the head on the washer."""
        front = face_y(n) - n.sheet_nominal
        thick = tables.washer(n.hang_size, "large").thickness
        return [
            Placed(f"hanging washer {at.name}", "hanging_washer",
                   Pose.to(at.x, front, at.z) @ OUT, "hanging"),
            Placed(f"hanging screw {at.name}", "hanging_screw",
                   Pose.to(at.x, front - thick, at.z) @ IN, "hanging"),
        ]  # fmt: skip

    def contacts(self, name: str, through: str) -> list[Contact]:
        """Head on washer, washer on board, thread in the face."""
        return [
            Contact(f"hanging screw {name}", "front face", Role.THREADS),
            Contact(f"hanging screw {name}", f"hanging washer {name}", Role.SEATS),
            Contact(f"hanging washer {name}", through, Role.SEATS),
        ]

    def cuts(self, n: Book, at: At) -> list[Cut]:
        """A clearance hole; two opposite ones are close, to bring the board back."""
        row = tables.clearance_hole(n.hang_size)
        close = at.name in ("upper left", "lower right")
        return [drilled(f"{'close' if close else 'hanging'} hole {at.name}", Face.BOTTOM, at.x,
                        at.z, row.hole_fine if close else row.hole_medium,
                        meets="hanging_screw")]  # fmt: skip

    def face_holes(self, n: Book, at: At) -> list[BoardHole]:
        """None: the threads are there."""
        return []


class WoodScrews:
    """A countersunk wood screw through the board into the board of the front face."""

    def parts(self, n: Book) -> list[Part]:
        """The screw."""
        return [wood_screw(float(n.hang_size), n.hang_length, "hanging_screw")]

    def poses(self, n: Book, at: At) -> list[Placed]:
        """The head flush with the board's front."""
        front = Pose.to(at.x, face_y(n) - n.sheet_nominal, at.z)
        return [Placed(f"hanging screw {at.name}", "hanging_screw", front @ IN, "hanging")]

    def contacts(self, name: str, through: str) -> list[Contact]:
        """Head in its sink, core in the face."""
        return [
            Contact(f"hanging screw {name}", through, Role.SEATS),
            Contact(f"hanging screw {name}", "front face", Role.BITES),
        ]

    def cuts(self, n: Book, at: At) -> list[Cut]:
        """A hole, and a recess for the head."""
        diameter = float(n.hang_size)
        return [
            drilled(f"hanging hole {at.name}", Face.TOP, at.x, at.z, diameter + 0.5,
                    meets="hanging_screw"),
            drilled(f"hanging head {at.name}", Face.TOP, at.x, at.z, 2 * diameter + 0.5,
                    screw_sink(diameter), Does.COUNTERBORE, "hanging_screw"),
        ]  # fmt: skip

    def face_holes(self, n: Book, at: At) -> list[BoardHole]:
        """A pilot hole as deep as the screw bites and 1 mm."""
        bite = n.hang_length - n.sheet_nominal
        return [BoardHole("front face", (at.x, face_y(n), at.z),
                          tables.wood_screw(float(n.hang_size)).pilot_hole, bite + 1,
                          f"hanging screw {at.name}")]  # fmt: skip


FASTENINGS: dict[str, Fastening] = {
    BOLTS: SlotBolts(), NUTS: SlotNuts(), SCREWS: Screws(), WOOD_SCREWS: WoodScrews(),
}  # fmt: skip


def screw_sink(diameter: float) -> float:
    """Depth of a screw head's recess, mm, so that its head comes flush.

    The head is twice the diameter across and 45 degrees; it bears on the edge of a hole that is
    0.5 mm larger than the screw (derived).
    """
    return diameter / 2 - 0.25


def dowels(n: Book) -> list[At]:
    """The two dowels that bring a screwed-on board back: beside opposite screws."""
    if not n.dowel_reach:
        return []
    upper, lower = (z - n.end_height for z in n.hang_z)
    return [At("left", -n.hang_x, upper - EDGE), At("right", n.hang_x, lower + EDGE)]


def dowel_part(n: Book) -> Part:
    """A dowel through the board, 1 mm short of its hole's bottom."""
    return dowel_rod(DOWEL, n.sheet_nominal + n.dowel_reach - 1, "dowel")


def dowel_poses(n: Book) -> list[Placed]:
    """Flush with the board's front."""
    front = face_y(n) - n.sheet_nominal
    return [
        Placed(f"dowel {at.name}", "dowel", Pose.to(at.x, front, at.z) @ IN, "hanging")
        for at in dowels(n)
    ]


def dowel_contacts(n: Book) -> list[Contact]:
    """Glued into the board, a push fit in the face."""
    return [
        touch
        for at in dowels(n)
        for touch in (
            Contact(f"dowel {at.name}", "back board", Role.GLUED),
            Contact(f"dowel {at.name}", "front face", Role.GUIDES, note="brings it back"),
        )
    ]


def dowel_cuts(n: Book) -> list[Cut]:
    """Drilled through the board, and on into the face in the same go."""
    return [
        drilled(f"dowel hole {at.name}", Face.TOP, at.x, at.z, DOWEL, meets="dowel")
        for at in dowels(n)
    ]


def face_holes(n: Book) -> list[BoardHole]:
    """Every hole that the user drills into the front face for this jig."""
    way = FASTENINGS[n.hang_by]
    found = [hole for at in corners(n) for hole in way.face_holes(n, at)]
    return found + [
        BoardHole("front face", (at.x, face_y(n), at.z), DOWEL, n.dowel_reach, f"dowel {at.name}")
        for at in dowels(n)
    ]
