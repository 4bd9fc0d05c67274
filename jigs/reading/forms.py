"""Where a pydantic error is: its `loc` followed through a model's annotations to the user's keys.

pydantic puts words into `loc` that the user never wrote: the tag of a discriminated union, the name
of a union's member. Only the annotations tell them from keys.
"""

from __future__ import annotations

import types
from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from enum import Enum
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import AliasChoices, BaseModel, Discriminator, Tag
from pydantic.fields import FieldInfo

Keys = tuple[str | int, ...]


@dataclass(frozen=True)
class Form:
    """An annotation, and the key that chooses among its members if it is a tagged union."""

    annotation: Any
    chosen_by: str | None = None
    tagged: bool = False


@dataclass(frozen=True)
class Spot:
    """Where an error is.

    Parameters: keys = the user's key path; form = what is wanted there (None = not known);
    model = the model that the last key belongs to; of_key = the key is to blame, not the value;
    choices = (key path, member) of each plain union passed on the way.
    """

    keys: Keys
    form: Form | None
    model: type[BaseModel] | None
    of_key: bool
    choices: tuple[tuple[Keys, str], ...]


def follow(model: type[BaseModel], loc: Sequence[str | int], data: object, *, absent: bool) -> Spot:
    """Follow a `loc`.

    Parameters: data = what was validated; absent = the last element is a key that the data or the
    model lacks. Returns the Spot.
    """
    form: Form | None = Form(model)
    keys: Keys = ()
    owner: type[BaseModel] | None = None
    choices: list[tuple[Keys, str]] = []
    for index, element in enumerate(loc):
        last = index == len(loc) - 1
        form = stripped(form)
        if last and element == "[key]":
            return Spot(keys, None, None, True, tuple(choices))
        if form and (members := members_of(form)):
            if not form.tagged:
                choices.append((keys, str(element)))
            form = _member(form, members, str(element))
            continue
        inside = _below(form, element)
        written = _holds(data, element) or (last and absent)
        if inside is None and not written:
            continue  # a word of pydantic's own
        owner = model_of(form)
        keys, form, data = (*keys, element), inside, _step(data, element)
    return Spot(keys, stripped(form), owner, False, tuple(choices))


def stripped(form: Form | None) -> Form | None:
    """Take off Annotated, type aliases, `| None` and root models."""
    while form:
        annotation = form.annotation
        if get_origin(annotation) is Annotated:
            inner, *metadata = get_args(annotation)
            form = _with_metadata(Form(inner, form.chosen_by, form.tagged), metadata)
        elif hasattr(annotation, "__value__"):
            form = Form(annotation.__value__, form.chosen_by, form.tagged)
        elif (model := model_of(form)) and model.__pydantic_root_model__:
            form = form_of(model.model_fields["root"])
        elif is_union(annotation):
            rest = [part for part in get_args(annotation) if part is not types.NoneType]
            if len(rest) != 1:
                return form
            form = Form(rest[0], form.chosen_by, form.tagged)
        else:
            return form
    return None


def form_of(info: FieldInfo) -> Form:
    """Return the form of a model's field."""
    name = info.discriminator
    form = Form(info.annotation, name if isinstance(name, str) else None, name is not None)
    return _with_metadata(form, info.metadata)


def members_of(form: Form) -> list[Any]:
    """Return the members of a union, None left out; nothing if it is no union of several."""
    if not is_union(form.annotation):
        return []
    members = [part for part in get_args(form.annotation) if part is not types.NoneType]
    return members if len(members) > 1 else []


def tags_of(form: Form | None) -> list[str]:
    """Return the values of the choosing key that a tagged union knows."""
    if form is None:
        return []
    return [tag for member in members_of(form) for tag in _tags(member, form.chosen_by)]


def model_of(form: Form | None) -> type[BaseModel] | None:
    """Return the model that a form is, if it is one."""
    annotation = form.annotation if form else None
    is_model = isinstance(annotation, type) and issubclass(annotation, BaseModel)
    return annotation if is_model else None


def known_keys(model: type[BaseModel]) -> list[str]:
    """Return the keys that a model takes, as the user writes them."""
    return [key for name, info in model.model_fields.items() for key in _spellings(name, info)]


def field_of(model: type[BaseModel], key: str | int) -> FieldInfo | None:
    """Return the field that takes a key."""
    for name, info in model.model_fields.items():
        if key in (name, *_spellings(name, info)):
            return info
    return None


def _spellings(name: str, info: FieldInfo) -> list[str]:
    alias = info.validation_alias or info.alias
    if isinstance(alias, AliasChoices):
        return [choice for choice in alias.choices if isinstance(choice, str)]
    return [alias if isinstance(alias, str) else name]


def _with_metadata(form: Form, metadata: Iterable[Any]) -> Form:
    for mark in metadata:
        if isinstance(mark, (FieldInfo, Discriminator)) and mark.discriminator is not None:
            name = mark.discriminator
            form = Form(form.annotation, name if isinstance(name, str) else None, True)
    return form


def is_union(annotation: Any) -> bool:
    """Say whether an annotation is a union, written either way."""
    return get_origin(annotation) in (Union, types.UnionType)


def _below(form: Form | None, element: str | int) -> Form | None:
    """Return the form one key further down, None if the form knows no such key."""
    if form is None:
        return None
    if model := model_of(form):
        info = field_of(model, element)
        return form_of(info) if info else None
    origin, arguments = get_origin(form.annotation), get_args(form.annotation)
    if not isinstance(origin, type) or not arguments:
        return None
    if issubclass(origin, Mapping):
        return Form(arguments[1])
    if isinstance(element, int) and issubclass(origin, (Sequence, AbstractSet)):
        is_row = issubclass(origin, tuple) and arguments[-1] is not Ellipsis
        if not is_row:
            return Form(arguments[0])
        return Form(arguments[element]) if element < len(arguments) else None
    return None


def _member(union: Form, members: list[Any], word: str) -> Form | None:
    """Return the member that pydantic names with `word`: its tag, or its class or wrapped class."""
    for member in members:
        inner = stripped(Form(member))
        if union.tagged:
            if word in _tags(member, union.chosen_by):
                return Form(member)
            continue
        name = getattr(inner.annotation, "__name__", "") if inner else ""
        if name and (word == name or word.startswith(f"{name}[") or word.endswith(f" {name}]")):
            return Form(member)
    return None


def _tags(member: Any, chosen_by: str | None) -> list[str]:
    if get_origin(member) is Annotated:
        tags = [mark.tag for mark in get_args(member)[1:] if isinstance(mark, Tag)]
        if tags:
            return tags
    inner = stripped(Form(member))
    if inner and (nested := members_of(inner)):
        return [tag for part in nested for tag in _tags(part, chosen_by)]
    model = model_of(inner)
    info = field_of(model, chosen_by) if model and chosen_by else None
    return literals_of(form_of(info)) if info else []


def literals_of(form: Form | None) -> list[str]:
    """Return the choices of a Literal, as text; nothing if the form is none."""
    form = stripped(form)
    if form is None or get_origin(form.annotation) is not Literal:
        return []
    values = (
        value.value if isinstance(value, Enum) else value for value in get_args(form.annotation)
    )
    return [str(value) for value in values]


def _holds(data: object, element: str | int) -> bool:
    if isinstance(data, dict):
        return element in data
    return isinstance(data, list) and isinstance(element, int) and element < len(data)


def _step(data: object, element: str | int) -> object:
    return data[element] if _holds(data, element) else None  # type: ignore[index]
