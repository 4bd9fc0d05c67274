"""Data against a pydantic model: every error comes back with the line and the key path it is in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from jigs.errors import Place, ReadingError, ReadingErrors
from jigs.reading.forms import Keys, Spot, follow
from jigs.reading.messages import MISFITS, NEEDS_KEY, message
from jigs.reading.source import Source
from jigs.units import Units

Model = TypeVar("Model", bound=BaseModel)


def validate(
    model: type[Model],
    source: Source,
    *,
    units: Units,
    at: Keys = (),
    extra_context: Mapping[str, object] | None = None,
) -> Model:
    """Read a part of a source into a model.

    Parameters: model = should forbid unknown keys (`fields.READ_CONFIG`); units = what lengths
    without a unit are in; at = the key path of the part; extra_context = more for validators.
    Returns the model. Raises ReadingError, or ReadingErrors in the order of the file if there are
    several.
    """
    data = source.at(at)
    try:
        return model.model_validate(data, context={**(extra_context or {}), "units": units})
    except ValidationError as error:
        details = error.errors(include_url=False)
    errors = _in_file_order(_settled([_Trouble.of(model, source, at, one) for one in details]))
    raise errors[0] if len(errors) == 1 else ReadingErrors(errors)


@dataclass(frozen=True)
class _Trouble:
    """One pydantic error, already in the user's words; `misfit` = of the wrong kind altogether."""

    error: ReadingError
    keys: Keys
    choices: tuple[tuple[Keys, str], ...]
    misfit: bool

    @classmethod
    def of(cls, model: type[BaseModel], source: Source, at: Keys, detail: ErrorDetails) -> _Trouble:
        kind = detail["type"]
        spot = follow(model, detail["loc"], source.at(at), absent=kind in NEEDS_KEY)
        said = message(detail, spot, source, at)
        keys = (*at, *spot.keys, *said.below)
        error = ReadingError(_place(source, at, spot, keys, kind), said.problem, *said.rest)
        choices = tuple(((*at, *keys_of), member) for keys_of, member in spot.choices)
        return cls(error, (*at, *spot.keys), choices, kind in MISFITS)


def _place(source: Source, at: Keys, spot: Spot, keys: Keys, kind: str) -> Place:
    if kind in ("missing", "union_tag_not_found"):
        mapping = (*at, *spot.keys)[: -1 if kind == "missing" else None]
        return source.place(mapping, of_key=True)
    return source.place(keys, of_key=spot.of_key or kind == "extra_forbidden")


def _in_file_order(errors: Sequence[ReadingError]) -> list[ReadingError]:
    once = {(str(error.place), error.problem): error for error in errors}
    return sorted(once.values(), key=lambda error: (error.place.line, error.place.column))


def _settled(troubles: list[_Trouble], level: int = 0) -> list[ReadingError]:
    """Make one story of what each member of a plain union says about the same value."""
    settled = [trouble.error for trouble in troubles if len(trouble.choices) <= level]
    unions: dict[Keys, dict[str, list[_Trouble]]] = {}
    for trouble in troubles:
        if len(trouble.choices) > level:
            keys, member = trouble.choices[level]
            unions.setdefault(keys, {}).setdefault(member, []).append(trouble)
    for keys, members in unions.items():
        fitting = [
            several
            for several in members.values()
            if any(trouble.keys != keys or not trouble.misfit for trouble in several)
        ]
        inside = [several for several in fitting if any(one.keys != keys for one in several)]
        if inside or len(members) == 1:
            closest = min(inside or members.values(), key=len)
            settled += _settled(closest, level + 1)
        else:
            likely = [several[0].error for several in fitting or members.values()]
            settled.append(_merged(likely[0], [several[0].error for several in members.values()]))
    return settled


def _merged(likely: ReadingError, errors: Sequence[ReadingError]) -> ReadingError:
    """Return the error that knows a near miss, else the likely one, with all right forms."""
    told = next((error for error in errors if "did you mean" in error.problem), likely)
    rights = dict.fromkeys(error.right for error in (told, *errors) if error.right)
    return ReadingError(told.place, told.problem, told.found, "; or ".join(rights))
