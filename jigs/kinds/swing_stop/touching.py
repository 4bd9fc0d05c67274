"""What touches what in the swing stop, and what must stay apart."""

from __future__ import annotations

import math
from itertools import pairwise

from jigs.kinds import _front
from jigs.kinds._knob import Knob
from jigs.kinds.swing_stop.clamping import bars_at
from jigs.kinds.swing_stop.parts import dowels, end_screws, side_screws
from jigs.kinds.swing_stop.standing import SIDES, room_behind, shim_names, stack_for
from jigs.model.number import Book
from jigs.model.state import Contact, Phase, Role, Room, State


def all_contacts(n: Book, state: State) -> list[Contact]:
    """The pads on the piece, what is behind it, and all that seats, threads, bites or is glued."""
    meant: list[Contact] = []
    for name, _ in bars_at(n):
        meant.append(Contact(f"{name} pad", name, Role.GLUED))
        if state.phase is not Phase.OPEN:
            closed = state.phase is Phase.CLOSED
            meant.append(Contact(f"{name} pad", "piece", Role.CLAMPS, n.pad_squeeze * closed))
        for side, _ in SIDES:
            meant += _stud(n, f"{name} {side}", name)
    return meant + (_behind(n, state) if n.bars == 1 else _board(n))


def _stud(n: Book, name: str, bar: str) -> list[Contact]:
    stud = f"{name} stud"
    return [
        *_in_the_face(n, stud),
        Contact(f"{name} lock washer", "back board" if n.bars == 2 else "front face", Role.SEATS),
        Contact(f"{name} lock nut", f"{name} lock washer", Role.SEATS),
        Contact(f"{name} lock nut", stud, Role.THREADS),
        Contact(f"{name} washer", bar, Role.SEATS),
        *Knob.contacts(name, f"{name} washer", stud),
    ]


def _in_the_face(n: Book, stud: str) -> list[Contact]:
    match n.stud_by:
        case _front.BOLT:
            return [Contact(stud, "front face", Role.SEATS)]
        case _front.NUT:
            return [
                Contact(f"{stud} T-slot nut", "front face", Role.SEATS),
                Contact(f"{stud} T-slot nut", stud, Role.THREADS,
                        note="flush with its lower face, held by thread-locking compound"),
            ]  # fmt: skip
        case _front.INSERT:
            return [
                Contact(f"{stud} insert", "front face", Role.BITES),
                Contact(f"{stud} insert", stud, Role.THREADS),
            ]
        case _:
            return [Contact(stud, "front face", Role.THREADS)]


def _behind(n: Book, state: State) -> list[Contact]:
    """The body against the foremost shim, pushed by what the stack is too thick."""
    diameter = float(n[f"grip_diameter_{state.piece.value}"].value)  # type: ignore[arg-type]
    stack = stack_for(n, diameter)
    layers = (["packer"] if n.packer else []) + shim_names(stack)
    meant = [Contact(a, b, Role.SEATS) for a, b in pairwise(layers)]
    over = n.packer + math.fsum(stack) - room_behind(n, diameter)
    if layers and state.phase is not Phase.OPEN:
        # At first touch the liners are not squeezed yet: the body stands that much further off.
        over -= n.squeeze * (state.phase is Phase.SETTING)
        meant.append(Contact(layers[-1], "piece", Role.GUIDES, max(0.0, over),
                             note="as near as shims come; the rest is tilt"))  # fmt: skip
    return meant


def _board(n: Book) -> list[Contact]:
    meant = [
        Contact("back board", "front face", Role.SEATS),
        Contact("piece", "back board", Role.SEATS),
        Contact("piece", "side stop", Role.SEATS, note="pushed against it"),
        Contact("piece", "end stop", Role.SEATS),
        Contact("side stop", "back board", Role.GLUED),
        Contact("end stop", "side stop", Role.GLUED),
    ]
    for name, _, _ in side_screws(n):
        meant += [Contact(f"side screw {name}", "side stop", Role.BITES),
                  Contact(f"side screw {name}", "back board", Role.SEATS)]  # fmt: skip
    for name, _ in end_screws(n):
        meant += [Contact(f"end screw {name}", "end stop", Role.BITES),
                  Contact(f"end screw {name}", "side stop", Role.SEATS)]  # fmt: skip
    for name, _, _ in dowels(n):
        meant += [Contact(f"dowel {name}", "back board", Role.GLUED),
                  Contact(f"dowel {name}", "front face", Role.GUIDES)]  # fmt: skip
    if not n.board_key_width:
        return meant
    return [
        *meant,
        Contact("board key", "back board", Role.GLUED),
        Contact("board key", "front face", Role.GUIDES),
        Contact("stop block", "front face", Role.SEATS),
        Contact("back board", "stop block", Role.SEATS, note="pushed against it each time"),
        *_in_the_face(n, "stop stud"),
        Contact("stop washer", "stop block", Role.SEATS),
        Contact("stop nut", "stop washer", Role.SEATS),
        Contact("stop nut", "stop stud", Role.THREADS),
    ]


def all_rooms(n: Book, state: State) -> list[Room]:
    """Room for the piece to go in and out, and between bars and what holds the studs."""
    if state.phase is Phase.OPEN:
        return [Room(f"{name} pad", "piece", 1.0, "the piece goes in by hand", ("+back_off",))
                for name, _ in bars_at(n)]  # fmt: skip
    if state.phase is not Phase.CLOSED:
        return []
    return [
        Room(name, f"{name} {side} lock nut", 1.0, "or the bar meets the nut before the piece")
        for name, _ in bars_at(n) for side, _ in SIDES
    ]  # fmt: skip
