"""One module per kind of jig. `kinds()` finds them by looking into this folder."""

from __future__ import annotations

import pkgutil
from functools import cache
from importlib import import_module

from jigs.errors import DesignError
from jigs.model.kind import Kind


@cache
def kinds() -> dict[str, Kind]:
    """Every kind of jig by name: each module here that defines KIND."""
    found: dict[str, Kind] = {}
    for module in sorted(m.name for m in pkgutil.iter_modules(__path__)):
        if module.startswith("_"):
            continue
        kind: Kind = import_module(f"{__name__}.{module}").KIND
        if type(kind).moves is Kind.moves:
            raise DesignError(
                kind.name, "no moves are told: nobody could say how it goes together",
                "moves(n) in its module: the way out of every part",
            )  # fmt: skip
        found[kind.name] = kind
    return found
