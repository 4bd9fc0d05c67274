"""What pydantic finds wrong, in the user's words: problem, what was found, what would be right."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any, get_args

from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from jigs.errors import nearest
from jigs.fields import Reader
from jigs.reading.forms import (
    Form,
    Keys,
    Spot,
    field_of,
    is_union,
    known_keys,
    literals_of,
    tags_of,
)
from jigs.reading.source import Source
from jigs.units import ValueRefused

NEEDS_KEY = ("missing", "extra_forbidden")
"""Errors whose last `loc` element is a key that the data or the model lacks."""

_WRONG_KIND = {
    "a whole number": ("int_type", "int_parsing", "int_parsing_size", "int_from_float"),
    "a number": ("float_type", "float_parsing", "decimal_type", "decimal_parsing"),
    "a finite number": ("finite_number",),
    "text": ("string_type", "string_sub_type"),
    "true or false": ("bool_type", "bool_parsing"),
    "a list": ("list_type", "tuple_type", "set_type", "frozen_set_type", "iterable_type"),
    "a mapping": ("dict_type", "mapping_type", "model_type", "model_attributes_type"),
    "left empty": ("none_required",),
}
_RIGHT_KIND = {
    "a whole number": "3, for example, without a unit and without a point",
    "a number": "3 or 3.5, for example, without a unit",
    "a finite number": "3 or 3.5, for example",
    "true or false": "true or false",
    "a list": "[..., ...], or one `- ...` a line",
    "a mapping": "indented lines of the form `key: value`",
    "left empty": "nothing after the colon",
}
_KINDS = {error: kind for kind, errors in _WRONG_KIND.items() for error in errors}
MISFITS = frozenset({*_KINDS, "literal_error", "enum"})
"""Errors that say that a value is of another kind than is wanted."""

_BOUNDS = {
    "greater_than": ("gt", "above"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "below"),
    "less_than_equal": ("le", "at most"),
}
_COUNTS = {
    "too_short": ("min_length", "at least", "values"),
    "too_long": ("max_length", "at most", "values"),
    "string_too_short": ("min_length", "at least", "characters"),
    "string_too_long": ("max_length", "at most", "characters"),
}


@dataclass(frozen=True)
class Message:
    """The words of one error; `below` = keys further down that are to blame."""

    problem: str
    found: str = ""
    right: str = ""
    below: Keys = ()

    @property
    def rest(self) -> tuple[str, str]:
        """What was found and what would be right."""
        return self.found, self.right


def message(detail: ErrorDetails, spot: Spot, source: Source, at: Keys) -> Message:
    """Put one pydantic error into words.

    Parameters: spot = where it is; source and at = what was validated. Returns the Message.
    """
    kind, context = detail["type"], detail.get("ctx", {})
    keys = (*at, *spot.keys)
    if kind in _SPECIAL:
        return _SPECIAL[kind](spot, source, keys, context)
    found = str(spot.keys[-1]) if spot.of_key else source.found(keys)
    subject = "the key " if spot.of_key else ""
    if kind in _KINDS:
        wanted = _KINDS[kind]
        right = _example(spot) or _RIGHT_KIND.get(wanted) or _quotes(source.at(keys), found)
        return Message(f"{subject}must be {wanted}", found, right)
    if kind in _BOUNDS:
        name, words = _BOUNDS[kind]
        rule = f"{words} {_plain(context[name])}"
        return Message(f"{subject}must be {rule}", found, f"a value {rule}")
    if kind in _COUNTS:
        name, words, things = _COUNTS[kind]
        rule = f"{words} {context[name]} {things}"
        return Message(f"{subject}must have {rule}", found, rule)
    if kind == "string_pattern_mismatch":
        right = _example(spot) or f"text that fits {context['pattern']}"
        return Message(f"{subject}has characters that are not taken here", found, right)
    text = detail["msg"].removeprefix("Input should be ")
    shown = f"{subject}must be {text}" if text != detail["msg"] else text[:1].lower() + text[1:]
    return Message(shown, found, _example(spot) or "a value that fits this rule")


def _unknown_key(spot: Spot, source: Source, keys: Keys, context: Mapping[str, Any]) -> Message:
    key = str(keys[-1])
    known = known_keys(spot.model) if spot.model else []
    problem = f"unknown key '{key}'{nearest(key, known)}"
    right = f"the keys here are {', '.join(known)}" if known else "no keys here"
    return Message(problem, key, right)


def _missing(spot: Spot, source: Source, keys: Keys, context: Mapping[str, Any]) -> Message:
    key = str(keys[-1])
    if isinstance(keys[-1], int):
        problem = f"the list is too short: value {keys[-1] + 1} is missing"
        return Message(problem, source.found(keys[:-1]), "a longer list")
    right = f"{key}: {_example(spot) or '...'}"
    info = field_of(spot.model, key) if spot.model else None
    if info and info.description:
        right += f"  ({info.description})"
    return Message(f"the key '{key}' is missing", source.found(keys[:-1]), right)


def _wrong_choice(spot: Spot, source: Source, keys: Keys, context: Mapping[str, Any]) -> Message:
    choices = literals_of(spot.form) or _quoted(str(context["expected"]))
    found = str(keys[-1]) if spot.of_key else source.found(keys)
    meant = nearest(found.strip("'\""), choices)
    return Message(f"not one of the choices{meant}", found, ", ".join(choices))


def _no_tag(spot: Spot, source: Source, keys: Keys, context: Mapping[str, Any]) -> Message:
    key = str(context["discriminator"]).strip("'")
    tags = " or ".join(tags_of(spot.form))
    return Message(f"the key '{key}' is missing", source.found(keys), f"{key}: {tags or '...'}")


def _wrong_tag(spot: Spot, source: Source, keys: Keys, context: Mapping[str, Any]) -> Message:
    key = str(context["discriminator"]).strip("'")
    tags = tags_of(spot.form) or _quoted(str(context["expected_tags"]))
    below = (key,) if source.has((*keys, key)) else ()
    problem = f"not one of the choices{nearest(str(context['tag']), tags)}"
    return Message(problem, source.found((*keys, *below)), ", ".join(tags), below)


def _from_validator(spot: Spot, source: Source, keys: Keys, context: Mapping[str, Any]) -> Message:
    error = context["error"]
    if not isinstance(error, ValueRefused):
        words = str(error) or "this value is refused"
        return Message(words, source.found(keys), _example(spot) or "a value that fits this rule")
    if spot.of_key:
        return Message(error.problem, str(spot.keys[-1]), error.right)
    below = error.keys if source.has((*keys, *error.keys)) else ()
    return Message(error.problem, source.found((*keys, *below)), error.right, below)


_SPECIAL: dict[str, Callable[[Spot, Source, Keys, Mapping[str, Any]], Message]] = {
    "extra_forbidden": _unknown_key,
    "missing": _missing,
    "literal_error": _wrong_choice,
    "enum": _wrong_choice,
    "union_tag_not_found": _no_tag,
    "union_tag_invalid": _wrong_tag,
    "value_error": _from_validator,
    "assertion_error": _from_validator,
}


def _quoted(words: str) -> list[str]:
    """Return the choices in pydantic's `'a', 'b' or 'c'` (numbers have no quotes)."""
    return re.findall(r"'([^']*)'", words) or re.split(r", | or ", words)


def _quotes(value: object, found: str) -> str:
    is_word = value is not None and not isinstance(value, (dict, list))
    return f'quotes around it: "{found}"' if is_word else "text"


def _plain(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


def _example(spot: Spot) -> str:
    """Return an example of the field from the model, or from the type; empty if there is none."""
    info = field_of(spot.model, spot.keys[-1]) if spot.model and spot.keys else None
    if info is None:
        return ""
    examples = info.examples or _examples_within(info.metadata) or _examples_of_type(info)
    return _as_yaml(examples[0]) if examples else ""


def _examples_within(metadata: Any) -> list[Any]:
    return [one for mark in metadata if isinstance(mark, Reader) for one in mark.examples]


def _examples_of_type(info: FieldInfo) -> list[Any]:
    """Return examples from what stands inside `... | None`, or the choices."""
    if choices := literals_of(Form(info.annotation)):
        return choices
    if isinstance(info.annotation, type) and issubclass(info.annotation, Enum):
        return [member.value for member in info.annotation]
    parts = get_args(info.annotation) if is_union(info.annotation) else ()
    return [
        one
        for part in parts
        if hasattr(part, "__metadata__")
        for one in _examples_within(part.__metadata__)
    ]


def _as_yaml(value: object) -> str:
    if isinstance(value, bool) or value is None:
        return {True: "true", False: "false", None: "null"}[value]
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_as_yaml(part)}" for key, part in value.items()) + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(_as_yaml(part) for part in value) + "]"
    return str(value)
