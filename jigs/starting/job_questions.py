"""What is asked of the pieces, their cuts, and of what the jigs are made from."""

from __future__ import annotations

from jigs import tables
from jigs.reading.names import usable_name
from jigs.shop.machine import Machine
from jigs.starting.answers import Answers
from jigs.starting.forms import (
    FROM_ZERO,
    LENGTH,
    LIMITS,
    Amount,
    Choice,
    Form,
    Several,
    Whole,
    Words,
    lengths,
)
from jigs.starting.questions import Question, Section, same, word

_NAME = Words(usable_name, "a short name: a letter, then letters, digits, spaces, - or _")
_WOOD = Words(tables.wood, "a wood of the tables; your own goes under woods: in the file")


def _described(a: Answers) -> bool:
    return a.machine is not None


def _cutters(machine: Machine | None, *shapes: str) -> list[str]:
    """The machine's cutters, those of a shape first."""
    known = machine.cutters if machine else {}
    return sorted(known, key=lambda name: known[name].shape not in shapes)


def _cutter_form(a: Answers) -> Form:
    return Choice(tuple(_cutters(a.machine)))


TURNED = Section(
    "The turned pieces",
    (
        Question("turned_name", "What do you call one of them?", _NAME, same("dibber", "knob")),
        Question("turned_wood", "Of which wood?", _WOOD, same("ash", "sugar maple")),
        Question("turned_count", "How many?", Whole(), same("24", "12"), asked=False),
        Question("turned_length", "Length, end to end, with its limits?", LIMITS,
                 same("230 ± 1", "3-1/2 ± 1/32"), "230 ± 1, or 229 to 231"),
        Question("grip", "Where may the ring hold: from, to, measured from the domed end?",
                 Several({"from": FROM_ZERO, "to": LENGTH}), same("9, 62", "3/8, 2-1/8"),
                 "a stretch that is round and nearly straight, below the dome"),
        Question("grip_diameter", "Diameter there, thinnest to thickest of the whole batch?",
                 LIMITS, same("31.5 to 36", "1-1/8 to 1-1/4")),
        Question("taper", "Change of diameter over the grip, within one piece?", FROM_ZERO,
                 same("0.3", "0"), asked=False),
        Question("ovality", "Largest less smallest diameter?", FROM_ZERO, same("0.2", "0"),
                 asked=False),
        Question("dome", "The domed end: diameter of its rim, height of the dome over the rim?",
                 lengths("rim", "height"), same("30, 4", "1-1/16, 3/16"),
                 "a straight edge over the dome and a caliper down to the rim"),
        Question("below", "Diameter just below the grip, and at the foot?",
                 lengths("below", "foot"), same("27, 8", "3/4, 3/4"),
                 "more places can be listed in the file"),
        Question("mark", "The mark: its size, depth, depth of one pass?",
                 lengths("size", "depth", "pass"), same("12, 1, 0.4", "3/8, 1/32, 1/64")),
        Question("mark_with", "Which cutter makes it?", _cutter_form,
                 lambda a: _cutters(a.machine, "ball", "v")[0], when=_described),
        Question("mark_stick_out", "How far does that cutter stick out of the nut?", LENGTH,
                 same("35", "1-1/2"), asked=False),
    ),
    "turned.yaml",
    lambda a: a.turned,
)  # fmt: skip

_JOINTS = Choice(("slot", "tenon", "hole"))
_JOINT_SIZES = {
    "slot": ("20, 2.5", "3/4, 1/16"), "tenon": ("20, 2", "1, 1/16"), "hole": ("12, 1", "1/2, 1/32"),
}  # fmt: skip


def _joint_size(a: Answers) -> str:
    return a.either(*_JOINT_SIZES[a.text("joint")])


def _joint_stick_out(a: Answers) -> str:
    return a.written(a.mm("joint_depth", "depth") + (12.7 if a.inch else 12.0))


BARS = Section(
    "The squared blanks",
    (
        Question("bar_name", "What do you call one of them?", _NAME, same("post", "leg")),
        Question("bar_wood", "Of which wood?", _WOOD, same("oak", "red oak")),
        Question("bar_count", "How many?", Whole(), same("40", "48"), asked=False),
        Question("bar_width", "Width with its limits?", LIMITS,
                 same("38 ± 0.5", "1-1/2 ± 1/64"), "the side that the jaws press"),
        Question("bar_depth", "Depth with its limits?", LIMITS,
                 lambda a: a.text("bar_width"), "the side that the fences steady"),
        Question("bar_length", "Length with its limits?", LIMITS,
                 same("140 ± 0.5", "5-1/4 ± 1/64")),
        Question("joint", "What goes into the end: slot, tenon or hole?", _JOINTS,
                 same("slot", "tenon")),
        Question("joint_depth", "How deep, and how deep in one pass?",
                 lengths("depth", "pass"), _joint_size,
                 "a light pass asks less of the clamp"),
        Question("joint_width", "How wide, tongue or hole?", LENGTH,
                 lambda a: a.either("19", "3/4") if a.text("joint") == "tenon"
                 else a.either("12", "3/4"),
                 when=lambda a: a.text("joint") in ("tenon", "hole")),
        Question("slot_along", "Does the slot run along the width (x) or the depth (y)?",
                 Choice(("x", "y")), word("y"), when=lambda a: a.text("joint") == "slot",
                 asked=False),
        Question("joint_with", "Which cutter makes it?", _cutter_form,
                 lambda a: _cutters(a.machine, "straight")[0], when=_described),
        Question("joint_stick_out", "How far does that cutter stick out of the nut?", LENGTH,
                 _joint_stick_out, asked=False),
    ),
    "bar.yaml",
    lambda a: a.bars,
)  # fmt: skip

STOCK = Section(
    "What the jigs are made from",
    (
        Question("sheet", "Which sheet?", Words(tables.board, "a sheet of the tables"),
                 word("birch plywood"), asked=False),
        Question("sheet_sold", "Sheet: the thickness it is sold as?", LENGTH, same("18", "3/4")),
        Question("sheet_measured", "The thickness that a caliper tells, with its limits?", LIMITS,
                 same("17.6 ± 0.2", "0.703 ± 0.006"), "tongues and dados are cut to this"),
        Question("sheet_size", "Length and width of the sheet?", lengths("length", "width"),
                 same("1220, 610", "60, 30"), asked=False),
        Question("block_wood", "Which hardwood is there for ring and knobs?", _WOOD,
                 same("beech", "hard maple"), asked=False),
        Question("lining", "Rubber for the ring: thickness?", LENGTH, same("3", "1/8"),
                 when=lambda a: a.turned),
        Question("lining_hardness", "Its hardness, Shore A?", Amount(20, 80, "Shore A"),
                 word("50"), when=lambda a: a.turned, asked=False),
    ),
    "stock.yaml",
)  # fmt: skip
