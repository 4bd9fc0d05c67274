"""Answers put into the templates, and each part read by the same reader as any job file."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pydantic import BaseModel, create_model

from jigs.errors import ReadingError, ReadingErrors
from jigs.reading.models import MachineFile
from jigs.reading.names import Name
from jigs.reading.schema import schema_texts
from jigs.reading.source import parse
from jigs.reading.validate import validate
from jigs.shop.base import ShopModel
from jigs.shop.machine import FrontFace, Table
from jigs.shop.piece import Piece
from jigs.shop.stock import LiningStock, SheetStock
from jigs.starting.answers import Answers
from jigs.starting.forms import Answer
from jigs.starting.paths import job_file, machine_file
from jigs.units import ValueRefused

if TYPE_CHECKING:
    from jinja2 import Environment

TEMPLATES = Path(__file__).with_name("templates")
_NOTE = "\x1f"
"""Stands before a note until the lines are aligned; no answer can hold it."""
_COLUMN = 34
"""Where notes begin, if the line before them leaves room. Taste."""
_TAKEN = ("ring", "gauge", "clamp", "mark", "slot", "tenon", "hole", "marking", "jointing",
          "machine")  # fmt: skip
"""Names that the templates give to jigs, cuts and setups: no piece may have one of them."""


class _Stock(ShopModel):
    sheets: dict[Name, SheetStock]
    linings: dict[Name, LiningStock] | None = None


_PARTS: dict[str, type[BaseModel]] = {
    "table.yaml": create_model("Parted", __base__=ShopModel, table=(Table, ...)),
    "front_face.yaml": create_model("Parted", __base__=ShopModel, front_face=(FrontFace, ...)),
    "machine.yaml": MachineFile,
    "turned.yaml": create_model("Parted", __base__=ShopModel, pieces=(dict[Name, Piece], ...)),
    "bar.yaml": create_model("Parted", __base__=ShopModel, pieces=(dict[Name, Piece], ...)),
    "stock.yaml": _Stock,
}
"""Template of a part -> what reads it."""


def check_part(a: Answers, part: str) -> None:
    """Do the answers to one section's questions go together?

    Raises ValueRefused with the reader's reason and what would be right.
    """
    head = "pieces:\n" if part in ("turned.yaml", "bar.yaml") else ""
    try:
        validate(_PARTS[part], parse(head + _filled(part, a)), units=a.units)
    except ReadingErrors as several:
        raise _refused(several.errors[0]) from None
    except ReadingError as error:
        raise _refused(error) from None
    for key in ("turned_name", "bar_name"):
        name = a.text(key)
        if name.casefold() in _TAKEN:
            raise ValueRefused(f"'{name}' is the name of a jig, a cut or a setup here", "another")
    if "bar_name" in a.values and a.text("bar_name").casefold() == a.text("turned_name").casefold():
        raise ValueRefused("both pieces have the same name", "a name for each")


def _refused(error: ReadingError) -> ValueRefused:
    return ValueRefused(error.problem, error.right)


def files_of(a: Answers) -> dict[Path, bytes]:
    """Each file to write: the job, and the machine unless it is described already.

    Beside them the schemas that editors complete from, where there are none yet.
    """
    job = job_file(a)
    texts = {job: _filled("job.yaml", a)}
    if a.machine is None:
        texts[job.parent / machine_file(a)] = _filled("machine.yaml", a)
    for name, text in schema_texts().items():
        if not (job.parent / name).exists():
            texts[job.parent / name] = text
    return {path: text.encode() for path, text in texts.items()}


def _filled(template: str, a: Answers) -> str:
    text = _environment().get_template(template).render(_words(a))
    return "\n".join(_aligned(line) for line in text.splitlines()) + "\n"


def _aligned(line: str) -> str:
    code, _, note = line.partition(_NOTE)
    return f"{code.ljust(_COLUMN)}  # {note}" if note else code.rstrip()


@cache
def _environment() -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    made = Environment(
        loader=FileSystemLoader(TEMPLATES), undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True, autoescape=False,
    )  # fmt: skip  # YAML, not HTML: `plain` sets off what YAML would take for something else
    made.filters["plain"] = plain
    made.globals["note"] = lambda text: _NOTE + text
    return made


def plain(text: str) -> str:
    """Text as a YAML value: bare where that is read back as the same text, else in quotes."""
    try:
        bare = not any(c in text for c in ",[]{}") and parse(f"a: {text}").data["a"] == text
    except ReadingError:
        bare = False
    if bare:
        return text
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _words(a: Answers) -> dict[str, Any]:
    """Everything the templates ask for, as far as it was answered."""
    words: dict[str, Any] = {"a": a, "either": a.either}
    for key, work_out in _WORKED_OUT.items():
        if all(needed in a.values for needed in _NEEDS[key]):
            words[key] = work_out(a)
    return words


def _slots(a: Answers, key: str, first: float, sign: int) -> dict[str, Any]:
    spacing, count = a.mm(key, "spacing"), int(a.part(key, "how many"))
    at = [a.written(sign * (first + i * spacing)) for i in range(count)]
    return {"how": "slots", "at": at}


def _table_fixing(a: Answers) -> Mapping[str, Any]:
    how = a.text("table_fixing")
    if how == "slots":
        return {**_slots(a, "table_slots", a.mm("table_slots", "first"), 1),
                "along": a.text("table_slots_along"),
                "profile": a.values["table_profile"]}  # fmt: skip
    if how == "holes":
        first = [a.part("table_holes", "left"), a.part("table_holes", "front")]
        return _holes(a, "table", first, "x and y of the front left hole")
    return {"how": how, "thickness": a.text("table_board")}


def _front_fixing(a: Answers) -> Mapping[str, Any]:
    how = a.text("front_fixing")
    if how == "slots":
        return {**_slots(a, "front_slots", a.mm("front_slots", "highest"), -1), "along": "x",
                "profile": a.values["front_profile"]}  # fmt: skip
    if how == "holes":
        below = (int(a.part("front_holes", "rows")) - 1) * a.mm("front_holes", "spacing")
        lowest = a.written(-a.mm("front_holes", "highest") - below)
        return _holes(a, "front", [a.part("front_holes", "left"), lowest],
                      "x and z of the lowest hole on the left")  # fmt: skip
    return {"how": how, "thickness": a.text("front_board")}


def _holes(a: Answers, of: str, first: list[str], first_is: str) -> dict[str, Any]:
    holes = f"{of}_holes"
    return {
        "how": "holes", "thread": a.text(f"{of}_thread"), "pitch": a.part(holes, "spacing"),
        "first": first, "first_is": first_is, "columns": a.part(holes, "columns"),
        "rows": a.part(holes, "rows"),
    }  # fmt: skip


def _front(a: Answers) -> dict[str, str]:
    return {end: a.written(-a.mm("front", end)) for end in ("top", "foot")}


def _cutters(a: Answers) -> dict[str, Mapping[str, str]]:
    """The cutters by name; one that makes both cuts stands once."""
    found: dict[str, Mapping[str, str]] = {}
    shapes = {"mark_cutter": a.text("mark_cutter_shape"), "parts_cutter": "straight",
              "joint_cutter": "straight"}  # fmt: skip
    for key, shape in shapes.items():
        sizes: Answer = a.values.get(key, {})
        if isinstance(sizes, Mapping) and sizes:
            found.setdefault(_cutter_name(shape, sizes), {"shape": shape, **sizes})
    return found


def _cutter_name(shape: str, sizes: Mapping[str, str]) -> str:
    return f"{shape} {sizes['diameter']}".replace('"', " in")


def _cutter_of(a: Answers, key: str, shape: str, chosen: str) -> str:
    sizes = a.values.get(key)
    if isinstance(sizes, Mapping):
        return _cutter_name(shape, sizes)
    return a.text(chosen)


def _below_grip(a: Answers) -> list[tuple[str, str]]:
    """Just below the grip, and a little above the shortest piece's foot."""
    step = a.mm("grip", "to") * 0.2
    foot = a.least("turned_length") - min(1.0, 0.01 * a.least("turned_length"))
    return [
        (a.written(a.mm("grip", "to") + step), a.part("below", "below")),
        (a.written(foot), a.part("below", "foot")),
    ]


def _joint_more(a: Answers) -> str:
    if a.text("joint") == "slot":
        return f"direction: {a.text('slot_along')}"
    return f"width: {a.text('joint_width')}"


_WORKED_OUT: dict[str, Callable[[Answers], Any]] = {
    "table_fixing": _table_fixing,
    "front_fixing": _front_fixing,
    "front": _front,
    "legs_right": lambda a: f"{a.written(a.mm('table', 'width') + 20)} to "
                            f"{a.written(a.mm('table', 'width') + 75)}",
    "cutters": _cutters,
    "below_grip": _below_grip,
    "joint_more": _joint_more,
    "mark": lambda a: "mark",
    "mark_cutter": lambda a: _cutter_of(
        a, "mark_cutter", a.text("mark_cutter_shape"), "mark_with"),
    "joint_cutter": lambda a: _cutter_of(a, "joint_cutter", "straight", "joint_with"),
    "parts_cutter": lambda a: _cutter_of(a, "parts_cutter", "straight", ""),
    "machine_path": lambda a: str(machine_file(a)),
    "job_name": lambda a: job_file(a).name,
}  # fmt: skip
_NEEDS = {
    "table_fixing": ("table_fixing",), "front_fixing": ("front_fixing",), "front": ("front",),
    "legs_right": ("table",), "cutters": (), "below_grip": ("below",), "joint_more": ("joint",),
    "mark": (), "mark_cutter": (), "joint_cutter": (),
    "parts_cutter": (), "machine_path": (), "job_name": (),
}  # fmt: skip
"""What must be answered before each can be worked out."""
