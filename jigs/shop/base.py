"""What all models of the shop share: strict keys, frozen values, and facts with their place."""

from __future__ import annotations

from collections.abc import Callable

from pydantic import BaseModel

from jigs.fields import READ_CONFIG
from jigs.model.number import Number, Standing, Value

Where = Callable[[str], str]
"""Tells in which file and line the value of a key (dotted, below the model) stands."""


class ShopModel(BaseModel):
    """A model read from the user's YAML: unknown keys are refused, values never change."""

    model_config = READ_CONFIG


def fact(
    name: str,
    value: Value,
    meaning: str,
    *,
    where: str = "",
    unit: str = "mm",
    standing: Standing | None = None,
    source: str = "",
) -> Number:
    """A number taken from the user's file (given), or a stated default (assumed)."""
    if standing is None:
        standing = Standing.GIVEN if where else Standing.ASSUMED
    if standing is Standing.ASSUMED and not source:
        source = "default, common practice, no source"
    return Number(name, value, unit, standing, meaning, (), source, where)
