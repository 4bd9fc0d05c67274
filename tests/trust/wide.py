"""Jobs over the whole valid range: fields of a plausible job drawn anew, from edge to edge.

What a field takes is read from the library's own models, so that a field that is added tomorrow is
drawn too. Every value drawn is one that its field takes by itself; whether the job as a whole is
possible is for the library to say.
"""

from __future__ import annotations

import math
import random
import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from annotated_types import Ge, Gt, Le, Lt
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from jigs.fields import AngleReader, IntervalReader, LengthReader, LimitsReader, ShareReader
from jigs.reading.job import instance_model
from jigs.reading.models import JobModel
from jigs.shop.machine import Machine

Keys = tuple[str | int, ...]
TINY = 1e-3
"""mm; the smallest length that is drawn at large; the very edges are drawn as well."""


@dataclass(frozen=True)
class Spot:
    """A field: where it stands, what it takes, and the marks of its annotation."""

    keys: Keys
    annotation: Any
    marks: tuple[Any, ...]


def spots(job: Mapping[str, Any]) -> list[Spot]:
    """Every field of a job that holds a plain value, also those that are left out."""
    found = [
        *_inside(JobModel, job, ()),
        *_inside(Machine, job["machine"], ("machine",)),
    ]
    for name, jig in job["jigs"].items():
        found += _inside(instance_model(jig["kind"]), jig, ("jigs", name))
    return [s for s in found if s.keys[-1] not in ("kind", "shape", "anchors", "units")]


def _inside(model: type[BaseModel], data: Any, keys: Keys) -> Iterator[Spot]:
    for name, info in model.model_fields.items():
        here = data.get(name) if isinstance(data, Mapping) else None
        if (*keys, name)[0:1] in (("machine",), ("jigs",)) and not keys:
            continue  # read by models of their own
        yield from _of(*_bare(info.annotation, info.metadata), here, (*keys, name))


def _bare(annotation: Any, marks: list[Any]) -> tuple[Any, list[Any]]:
    """Without Annotated and `| None`."""
    if get_origin(annotation) is Annotated:
        inner, *more = get_args(annotation)
        for mark in more:
            marks = [*marks, *(mark.metadata if isinstance(mark, FieldInfo) else [mark])]
        return _bare(inner, marks)
    if get_origin(annotation) in (Union, types.UnionType):
        rest = [a for a in get_args(annotation) if a is not types.NoneType]
        if len(rest) == 1:
            return _bare(rest[0], marks)
    return annotation, marks


def _of(annotation: Any, marks: list[Any], data: Any, keys: Keys) -> Iterator[Spot]:
    origin = get_origin(annotation)
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        needs = any(info.is_required() for info in annotation.model_fields.values())
        if isinstance(data, Mapping) or not needs:
            yield from _inside(annotation, data, keys)
        else:
            yield Spot(keys, annotation, ())
    elif origin in (Union, types.UnionType):
        for member in get_args(annotation):
            inner, more = _bare(member, [])
            if isinstance(inner, type) and issubclass(inner, BaseModel) and _fits(inner, data):
                yield from _of(inner, more, data, keys)
    elif origin is dict or origin is Mapping:
        for key in data or ():
            yield from _of(*_bare(get_args(annotation)[1], []), data[key], (*keys, key))
    else:
        yield Spot(keys, annotation, tuple(marks))


def _fits(model: type[BaseModel], data: Any) -> bool:
    """Is this the member of a union that the data choose?"""
    if not isinstance(data, Mapping):
        return False
    for word in ("shape", "anchors"):
        if word in model.model_fields:
            return data.get(word) in get_args(model.model_fields[word].annotation)
    return False


def drawn(r: random.Random, spot: Spot, now: Any) -> Any:
    """A value that the field takes; `now` = what stands there, to stay near it at times."""
    return _draw(r, spot.annotation, list(spot.marks), now)


def _draw(r: random.Random, annotation: Any, marks: list[Any], now: Any) -> Any:
    for mark in marks:
        if isinstance(mark, LengthReader):
            return _length(r, mark.at_least, mark.at_most, mark.above, now)
        if isinstance(mark, LimitsReader):
            return _limits(r, mark)
        if isinstance(mark, IntervalReader):
            low, high = sorted(_length(r, -20_000, 20_000, -math.inf, None) for _ in "ab")
            return [low, high]
        if isinstance(mark, AngleReader):
            return r.choice((-360, 0, 360, r.uniform(-360, 360)))
        if isinstance(mark, ShareReader):
            return r.choice((0, 1, r.random()))
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return {
            name: _draw(r, *_bare(info.annotation, info.metadata), None)
            for name, info in annotation.model_fields.items()
            if info.is_required() or r.random() < 0.3
        }
    origin, members = get_origin(annotation), get_args(annotation)
    if origin is Literal:
        return r.choice(members)
    if origin is tuple:
        return _tuple(r, members, marks)
    if annotation is bool:
        return r.random() < 0.5
    if annotation is int:
        low, high = _bounds(marks, -1_000_000, 1_000_000)
        return r.choice((math.ceil(low), math.floor(high), r.randint(math.ceil(low), int(high))))
    if annotation is float:
        return _number(r, *_bounds(marks, -1e12, 1e12), now)
    if annotation is str:
        return r.choice(("beech", "birch plywood", "M8", "1/4", "PETG", "moon rock", "x"))
    return now


def _length(r: random.Random, low: float, high: float, above: float, now: Any) -> float:
    """mm: an edge, any size, or some of what stands there."""
    least = max(low, above)
    how = r.random()
    if how < 0.12:
        return high if r.random() < 0.5 else (least if low >= above else TINY * 1e-3)
    if how < 0.6 and isinstance(now, int | float) and now:
        return min(max(float(now) * math.exp(r.uniform(-1.2, 1.2)), max(least, TINY)), high)
    size = math.exp(r.uniform(math.log(TINY), math.log(high)))
    return -size if least < 0 and r.random() < 0.3 else size


def _limits(r: random.Random, mark: LimitsReader) -> dict[str, float]:
    least = _length(r, max(mark.at_least, 0), mark.at_most, mark.above, None)
    spread = r.choice((0.0, least * 0.01, least * r.random()))
    return {"least": least, "most": min(least + spread, mark.at_most)}


def _number(r: random.Random, low: float, high: float, now: Any) -> float:
    how = r.random()
    if how < 0.2:
        return r.choice((low, high))
    if how < 0.6 and isinstance(now, int | float) and now:
        return min(max(float(now) * math.exp(r.uniform(-1.2, 1.2)), low), high)
    if low >= 0:
        return min(max(math.exp(r.uniform(-7, math.log(high))), low), high)
    return math.copysign(math.exp(r.uniform(-7, math.log(high))), r.random() - 0.3)


def _bounds(marks: list[Any], low: float, high: float) -> tuple[float, float]:
    """Of a number, its open ends moved in by a millionth."""
    for mark in marks:
        if isinstance(mark, Ge):
            low = float(mark.ge)  # type: ignore[arg-type]
        if isinstance(mark, Gt):
            low = float(mark.gt) + 1e-6  # type: ignore[arg-type]
        if isinstance(mark, Le):
            high = float(mark.le)  # type: ignore[arg-type]
        if isinstance(mark, Lt):
            high = float(mark.lt) - 1e-6  # type: ignore[arg-type]
    return low, high


def _tuple(r: random.Random, members: tuple[Any, ...], marks: list[Any]) -> list[Any]:
    if members[-1] is Ellipsis:
        count = r.choice((1, 1, 2, 3, 6))
        return [_draw(r, *_bare(members[0], []), None) for _ in range(count)]
    return [_draw(r, *_bare(member, []), None) for member in members]


def put(job: Any, keys: Keys, value: Any) -> None:
    """Write a value into plain data, mappings on the way made where they are missing."""
    for key in keys[:-1]:
        job = job.setdefault(key, {}) if isinstance(job, dict) else job[key]
    job[keys[-1]] = value


def got(job: Any, keys: Keys) -> Any:
    """What stands there; None if nothing does."""
    for key in keys:
        try:
            job = job[key]
        except (KeyError, IndexError, TypeError):
            return None
    return job


def widened(r: random.Random, job: dict[str, Any]) -> list[tuple[Keys, Any]]:
    """Draw one to five fields of a job in mm anew, in place. Returns where, and what was drawn."""
    known = spots(job)
    by_section: dict[str, list[Spot]] = {}
    for spot in known:
        inside = spot.keys[0] == "jigs" and spot.keys[2] in ("set", "built")
        by_section.setdefault("numbers" if inside else str(spot.keys[0]), []).append(spot)
    drawn_now = []
    for _ in range(r.choice((1, 1, 2, 3, 5))):
        spot = r.choice(by_section[r.choice(sorted(by_section))])
        value = drawn(r, spot, got(job, spot.keys))
        put(job, spot.keys, value)
        drawn_now.append((spot.keys, value))
    return drawn_now
