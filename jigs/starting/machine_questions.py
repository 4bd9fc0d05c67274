"""What is asked of the machine: table, front face, travel and what moves over the work."""

from __future__ import annotations

from jigs import tables
from jigs.fields import LengthReader
from jigs.starting.answers import Answers
from jigs.starting.forms import LENGTH, RANGE, Choice, Several, Value, Whole, Words, lengths
from jigs.starting.questions import (
    Question,
    Section,
    every,
    fitting,
    grid,
    machine_name_is_free,
    same,
    title,
    without_machine,
    word,
)

_THREAD = Words(tables.thread, "a thread such as M6, M8, 1/4 or 5/16")
_PROFILE = lengths("mouth", "lip", "wide", "room")
_FIXINGS = Choice(("slots", "holes", "spoilboard"))
_HOW = (
    "slots = T-slots or tracks; holes = a grid of threaded holes; spoilboard = a board to screw "
    "into"
)
_SECTION = (
    "of the slot's section: width of the opening, depth of its narrow part, width of the room "
    "below, height of that room"
)
_ANY = Value(LengthReader())


def _slots_of_table(a: Answers) -> str:
    across = a.mm("table", "width" if a.text("table_slots_along") == "y" else "depth")
    return every(a, across, 60.0, 3.0)


TABLE = Section(
    "Your machine: the table",
    (
        Question("machine_name", "What do you call the machine?",
                 Words(title, "a name with a letter first: its file is named after it"),
                 same("bench router", "garage router"), allows=machine_name_is_free),
        Question("table", "The table: width, depth, thickness of its front edge?",
                 lengths("width", "depth", "thickness"), same("600, 400, 30", "30, 20, 1-1/2"),
                 "width is left to right, depth away from you"),
        Question("table_fixing", "What holds a jig on it: slots, holes or spoilboard?", _FIXINGS,
                 word("slots"), _HOW),
        Question("table_slots_along", "Do the slots run along x (left to right) or y (away from "
                 "you)?", Choice(("x", "y")), same("y", "x"),
                 when=fitting("table_fixing", "slots")),
        Question("table_slots", "Middle of the first slot, from slot to slot, how many?",
                 Several({"first": LENGTH, "spacing": LENGTH, "how many": Whole(1, 200)}),
                 _slots_of_table,
                 "from the left edge where they run along y, from the front edge along x; "
                 "if the spacing varies, mend the list in the file afterwards",
                 when=fitting("table_fixing", "slots")),
        Question("table_profile", "A slot: mouth, lip, wide, room?", _PROFILE,
                 same("10.2, 9, 17, 7.5", "0.3, 0.16, 0.78, 0.28"), _SECTION,
                 when=fitting("table_fixing", "slots")),
        Question("table_thread", "Thread of the holes?", _THREAD, same("M6", "1/4"),
                 when=fitting("table_fixing", "holes")),
        Question("table_holes", "First hole from the left, from the front, spacing, columns, rows?",
                 Several({"left": _ANY, "front": _ANY, "spacing": LENGTH,
                          "columns": Whole(1, 500), "rows": Whole(1, 500)}),
                 lambda a: grid(a, a.mm("table", "width"), a.mm("table", "depth")),
                 when=fitting("table_fixing", "holes")),
        Question("table_board", "How deep may a screw go into the board?", LENGTH,
                 same("18", "3/4"), when=fitting("table_fixing", "spoilboard")),
    ),
    "table.yaml",
    without_machine,
)  # fmt: skip


def _with_front(a: Answers) -> bool:
    return a.machine is None and a.turned


def _front_slots(a: Answers) -> str:
    first = a.mm("front", "top") + (60.0 if not a.inch else 63.5)
    return f"{a.written(first)}, {a.either('100, 3', '4, 3')}"


def _front_holes(a: Answers) -> str:
    first, _, spacing, columns, _ = grid(a, a.mm("table", "width"), 1.0).split(", ")
    pitch = 50.8 if a.inch else 50.0
    below = a.mm("front", "top") + pitch / 2
    rows = max(1, int((a.mm("front", "foot") - below - pitch / 2) / pitch) + 1)
    return f"{first}, {a.written(below)}, {spacing}, {columns}, {rows}"


def _same_profile(a: Answers) -> str:
    if a.text("table_fixing") == "slots":
        return ", ".join(a.part("table_profile", name) for name in _PROFILE.forms)
    return a.either("10.2, 9, 17, 7.5", "0.3, 0.16, 0.78, 0.28")


FRONT = Section(
    "Your machine: the upright front face, where turned pieces hang",
    (
        Question("front", "How far below the table's surface are top and foot of the front face, "
                 "and bench or floor?",
                 Several({"top": Value(LengthReader(at_least=0.0)), "foot": LENGTH,
                          "floor": LENGTH}),
                 lambda a: f"{a.part('table', 'thickness')}, {a.either('360, 700', '16, 30')}",
                 "flush with the table's front edge; a board screwed to the frame will do"),
        Question("front_fixing", "What holds a jig on it: slots, holes or spoilboard?", _FIXINGS,
                 lambda a: a.text("table_fixing"), f"{_HOW}; slots must run left to right"),
        Question("front_slots", "Middle of the highest slot below the table's surface, from slot "
                 "to slot, how many?",
                 Several({"highest": LENGTH, "spacing": LENGTH, "how many": Whole(1, 200)}),
                 _front_slots, when=fitting("front_fixing", "slots")),
        Question("front_profile", "A slot of the front: mouth, lip, wide, room?", _PROFILE,
                 _same_profile, _SECTION, when=fitting("front_fixing", "slots")),
        Question("front_thread", "Thread of its holes?", _THREAD,
                 lambda a: a.text("table_thread") or a.either("M6", "1/4"),
                 when=fitting("front_fixing", "holes")),
        Question("front_holes", "First hole from the left, highest row below the table's surface, "
                 "spacing, columns, rows?",
                 Several({"left": _ANY, "highest": LENGTH, "spacing": LENGTH,
                          "columns": Whole(1, 500), "rows": Whole(1, 500)}), _front_holes,
                 when=fitting("front_fixing", "holes")),
        Question("front_board", "How deep may a screw go into it?", LENGTH, same("18", "3/4"),
                 when=fitting("front_fixing", "spoilboard")),
    ),
    "front_face.yaml",
    _with_front,
)  # fmt: skip


def _reach_x(a: Answers) -> str:
    return f"0 to {a.part('table', 'width')}"


def _reach_y(a: Answers) -> str:
    front = a.either("-110", "-5") if a.turned else "0"
    return f"{front} to {a.part('table', 'depth')}"


def _parts_cutter(a: Answers) -> str:
    small = a.text("front_fixing") == "spoilboard"
    return a.either("5, 26, 55" if small else "6, 25, 60", "1/4, 1, 2-1/2")


HEAD = Section(
    "Your machine: where the spindle goes",
    (
        Question("travel_x", "From where to where does the spindle go in x?", RANGE, _reach_x,
                 "of the spindle's middle; 0 is the table's left edge"),
        Question("travel_y", "And in y?", RANGE, _reach_y,
                 "0 is the table's front edge, below 0 is in front of it"),
        Question("travel_z", "And in z?", RANGE, same("20 to 200", "1/2 to 8"),
                 "of the collet nut's lower face; 0 is the table's surface"),
        Question("under_gantry", "From the table's surface up to the beam?", LENGTH,
                 same("160", "6-1/2")),
        Question("collet_nut", "The collet nut: diameter, length?", lengths("diameter", "length"),
                 same("22, 18", "1, 3/4")),
        Question("spindle", "The spindle above it: diameter, length?",
                 lengths("diameter", "length"), same("65, 160", "3, 7")),
        Question("mark_cutter", "Cutter for the mark: diameter, cutting length, whole length?",
                 lengths("diameter", "cutting", "whole"), same("6, 20, 60", "1/4, 3/4, 2-1/2"),
                 when=lambda a: a.turned),
        Question("mark_cutter_shape", "Its tip: ball or straight?", Choice(("ball", "straight")),
                 word("ball"), when=lambda a: a.turned, asked=False),
        Question("parts_cutter", "Straight cutter for the jigs' parts: diameter, cutting length, "
                 "whole length?", lengths("diameter", "cutting", "whole"),
                 _parts_cutter, "they are cut from sheet on this machine"),
        Question("joint_cutter", "Straight cutter for the joint: diameter, cutting length, whole "
                 "length?", lengths("diameter", "cutting", "whole"),
                 same("6, 25, 60", "1/2, 1-1/4, 3"), when=lambda a: a.bars),
    ),
    "machine.yaml",
    without_machine,
)  # fmt: skip
