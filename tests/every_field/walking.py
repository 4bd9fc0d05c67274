"""Every field of a job and of its machine's file, with other values that it could have."""

from __future__ import annotations

import copy
import dataclasses
import inspect
import os
import re
import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Annotated, Any, Literal, Union, get_args, get_origin

import yaml
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from jigs.fields import Reader
from jigs.reading.job import instance_model, read_job
from jigs.reading.models import JobModel, MachineFile
from jigs.shop.machine import Machine
from jigs.sizing import Design, design
from jigs.units import Interval, Limits

Keys = tuple[str | int, ...]
Tree = Any
WRITTEN_AT = 1_790_000_000
"""s: drawings carry the day of the job file, and no test may run over midnight."""

STEPS = (1.04, 0.96, 1.3, 0.7)
NUMBER = re.compile(r"(?<![\w.])\d+(?:-\d+/\d+|/\d+|\.\d+)?")
SOLD = (
    ("M8", "M6", "M10", "M5", "M12"), ("5/16", "1/4", "3/8", "1/2"), ("4.6", "8.8"),
    ("ash", "oak", "beech"),
)  # fmt: skip
"""What goes in each other's place: sizes, property classes, woods."""

BY_KIND = ("set", "built")
DECIDES_THE_MODEL = ("kind", "shape", "anchors")


@dataclass(frozen=True)
class Field:
    """A field where it stands. `owner` = model and field, and which number of a text it is;
    `keys` begin with the file; `values` = others to try, the likeliest first."""

    owner: str
    keys: Keys
    values: tuple[Tree, ...] = dataclasses.field(compare=False)

    @property
    def path(self) -> str:
        """`job.pieces.dibber.taper`."""
        return ".".join(map(str, self.keys))


Changes = Mapping[Field, Tree]
"""What fields are to be."""


@dataclass(frozen=True)
class Shop:
    """The plain data of a job file, and of its machine's where that has one of its own."""

    name: str
    job: Tree
    machine: Tree
    others: Mapping[str, list[Tree]]
    """Model and field -> what else a text may be, or what a field may be that is left out."""
    tables: Mapping[str, str]
    """Files of measured pieces, by name."""

    def read(
        self, folder: Path, field: Field | Changes | None = None, value: Tree = None
    ) -> Design:
        """The job, with one field changed, or several. Raises JigsError."""
        changes = {field: value} if isinstance(field, Field) else field
        return design(read_job(self.write(folder, changes)))

    def write(self, folder: Path, changes: Changes | None = None) -> Path:
        """The job's file, written with some fields changed; all on one line, so that no other
        field's place in it moves."""
        data = copy.deepcopy({"job": self.job, "machine": self.machine})
        for field, value in (changes or {}).items():
            put(data, field.keys, value)
        for name, table in self.tables.items():
            (folder / name).write_text(table, encoding="utf-8")
        for name, tree in data.items():
            if tree is not None:
                text = yaml.safe_dump(
                    tree, default_flow_style=True, width=10**9, allow_unicode=True, sort_keys=False
                )
                (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
                os.utime(folder / f"{name}.yaml", (WRITTEN_AT, WRITTEN_AT))
        return folder / "job.yaml"

    def fields(self, d: Design) -> Iterator[Field]:
        """Every field that stands in the job, or could; `d` = the job, sized."""
        yield from self._inside(JobModel, self.job, ("job",))
        if self.machine is not None:
            yield from self._inside(MachineFile, self.machine, ("machine",))
        else:
            yield from self._inside(Machine, self.job["machine"], ("job", "machine"))
        books = {jig.name: jig.n for _, jig in d.jigs()}
        for name, data in self.job["jigs"].items():
            keys: Keys = ("job", "jigs", name)
            model = instance_model(data["kind"])
            yield from self._inside(model, data, keys)
            for key in BY_KIND:
                numbers = bare(model.model_fields[key].annotation)[0]
                for number, info in numbers.model_fields.items():
                    if any(number in data.get(by, {}) for by in BY_KIND):
                        continue
                    owner, now = f"{numbers.__name__}.{number}", books[name][number].value
                    kind, marks = bare(info.annotation, info.metadata)
                    values = tuple(self.others.get(owner) or set_values(kind, marks, now))
                    yield Field(owner, (*keys, key, number), values)

    def _inside(self, model: type[BaseModel], data: Tree, keys: Keys) -> Iterator[Field]:
        for name, info in model.model_fields.items():
            apart = keys == ("job",) and name in ("machine", "jigs")
            if apart or name in DECIDES_THE_MODEL or (name in BY_KIND and "jigs" in keys):
                continue
            owner = f"{owner_of(model, name)}.{name}"
            kind, marks = bare(info.annotation, info.metadata)
            if name in data and data[name] is not None:
                yield from self._below(kind, marks, data[name], (*keys, name), owner)
            else:
                now = info.get_default(call_default_factory=True)
                yield from self._left_out(kind, marks, now, (*keys, name), owner)

    def _below(self, kind: Any, marks: list[Any], data: Tree, keys: Keys, owner: str) -> Any:
        model = model_for(kind, data)
        if model is not None:
            yield from self._inside(model, data, keys)
        elif isinstance(data, dict) and get_origin(kind) is dict:
            inner = bare(get_args(kind)[1])
            for key, value in data.items():
                yield from self._below(*inner, value, (*keys, key), owner)
        elif isinstance(data, list):
            if owner in self.others:
                yield Field(owner, keys, tuple(self.others[owner]))
                return
            for i, value in enumerate(data):
                of = element(kind, i)
                yield from self._below(*bare(of, marks), value, (*keys, i), owner)
        elif isinstance(data, str) and any(isinstance(mark, Reader) for mark in marks):
            for i, found in enumerate(NUMBER.finditer(data)):
                values = tuple(
                    data[: found.start()] + number + data[found.end() :]
                    for number in map(str, numbers(plain(found[0]), whole=False))
                )
                yield Field(f"{owner}#{i}", keys, values)
        else:
            yield Field(owner, keys, tuple(self.others.get(owner) or values_of(kind, data)))

    def _left_out(self, kind: Any, marks: list[Any], now: Any, keys: Keys, owner: str) -> Any:
        if isinstance(now, BaseModel):
            yield from self._inside(type(now), {}, keys)
        elif owner in self.others:
            yield Field(owner, keys, tuple(self.others[owner]))
        elif now is not None and now not in ((), {}):
            yield Field(owner, keys, tuple(set_values(kind, marks, now)))


# -- values ---------------------------------------------------------------------------------------


def values_of(kind: Any, now: Tree) -> Iterator[Tree]:
    """Other values of a field that holds a plain value."""
    if isinstance(now, bool):
        yield not now
    elif isinstance(now, int | float):
        yield from numbers(now, whole=isinstance(now, int) and kind is not float)
    elif get_origin(kind) is Literal:
        yield from (choice for choice in get_args(kind) if choice != now)
    elif isinstance(kind, type) and issubclass(kind, Enum):
        yield from (str(choice.value) for choice in kind if choice != now)
    elif isinstance(now, str):
        sold = next((names for names in SOLD if now in names), (now, f"{now}x"))
        yield from (name for name in sold if name != now)


def set_values(kind: Any, marks: list[Any], now: Any) -> Iterator[Tree]:
    """Other values of a field of which we know what the library made of it, in mm."""
    if isinstance(now, tuple):
        if now and all(isinstance(value, float) for value in now):
            for last in numbers(now[-1], whole=False):
                yield [*(f"{value!r} mm" for value in now[:-1]), f"{last!r} mm"]
    elif isinstance(now, Interval | Limits):
        yield f"{now.least * 1.04!r} mm to {now.most!r} mm"
    elif any(isinstance(mark, Reader) for mark in marks) and not isinstance(now, str):
        yield from (f"{value!r} mm" for value in numbers(float(now), whole=False))
    else:
        yield from values_of(kind, now)


def numbers(now: float, *, whole: bool) -> list[float]:
    """Nearby ones first."""
    if whole:
        return [now + 1, now - 1, -now, now * 2, now + 4]
    if now == 0:
        return [0.5, 3.0, -3.0]
    return [round(now * step, 5) for step in STEPS]


def plain(text: str) -> float:
    """A number as a user writes it: 38, 0.5, 1/64 or 1-1/2."""
    whole, _, part = text.rpartition("-")
    above, _, below = part.partition("/")
    return float(whole or 0) + float(above) / float(below or 1)


# -- models ---------------------------------------------------------------------------------------


def bare(annotation: Any, marks: Any = ()) -> tuple[Any, list[Any]]:
    """Without Annotated and `| None`; and the marks of both."""
    marks = list(marks)
    if get_origin(annotation) is Annotated:
        inner, *more = get_args(annotation)
        for mark in more:
            marks += mark.metadata if isinstance(mark, FieldInfo) else [mark]
        return bare(inner, marks)
    if get_origin(annotation) in (Union, types.UnionType):
        rest = [kind for kind in get_args(annotation) if kind is not types.NoneType]
        if len(rest) == 1:
            return bare(rest[0], marks)
    return annotation, marks


def members(annotation: Any) -> Iterator[Any]:
    """What an annotation is made of, Annotated and all."""
    yield annotation
    for part in get_args(annotation) if get_origin(annotation) is not Literal else ():
        yield from members(part)


def models_in(annotation: Any) -> list[type[BaseModel]]:
    """Models that an annotation names."""
    return [m for m in members(annotation) if isinstance(m, type) and issubclass(m, BaseModel)]


def model_for(kind: Any, data: Tree) -> type[BaseModel] | None:
    """The model that a mapping is read by; None where it is none."""
    if not isinstance(data, dict) or get_origin(kind) is dict:
        return None
    for model in models_in(kind):
        known = model.model_fields
        word = next((w for w in DECIDES_THE_MODEL if w in known), None)
        if set(data) <= set(known) and (
            word is None or data.get(word) in get_args(known[word].annotation)
        ):
            return model
    return None


def element(kind: Any, i: int) -> Any:
    """The annotation of one value of a list."""
    for part in members(kind):
        if get_origin(part) is tuple:
            of = get_args(part)
            return of[0] if of[-1] is Ellipsis else of[i]
    return Any


def owner_of(model: type[BaseModel], field: str) -> str:
    """The model that says a field first: of a machine's file it is the machine."""
    said = [m for m in model.__mro__ if field in inspect.get_annotations(m)]
    return said[-1].__name__


def every_owner(kinds: list[str]) -> set[str]:
    """Every field of every model that a job or a machine's file is read by."""
    found: set[str] = set()
    seen: set[type[BaseModel]] = set()
    wait: list[type[BaseModel]] = [JobModel, MachineFile, *map(instance_model, kinds)]
    while wait:
        model = wait.pop()
        if model in seen:
            continue
        seen.add(model)
        for name, info in model.model_fields.items():
            inner = [*models_in(info.annotation), *(m for k in info.metadata for m in models_in(k))]
            wait += inner
            if inner or name in (*DECIDES_THE_MODEL, *BY_KIND):
                continue
            numbers_of_a_kind = model.__name__.endswith(("_numbers", "_built"))
            whose = model.__name__ if numbers_of_a_kind else owner_of(model, name)
            found.add(f"{whose}.{name}")
    return found - {"JobModel.machine", "JobModel.jigs"}


def put(tree: Tree, keys: Keys, value: Tree) -> None:
    """Write a value into plain data, mappings on the way made where they are missing."""
    for key in keys[:-1]:
        tree = tree.setdefault(key, {}) if isinstance(tree, dict) else tree[key]
    tree[keys[-1]] = value
