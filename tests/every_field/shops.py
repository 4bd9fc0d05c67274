"""The jobs in which every field is changed."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml

from .walking import Shop, Tree

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
TOLD: dict[str, Any] = yaml.safe_load((HERE / "shops.yaml").read_text(encoding="utf-8"))
UNMOVED: dict[str, str] = TOLD["unmoved"]
"""Fields that change nothing, and why."""

LOOK_FIRST: dict[str, str] = TOLD["look first"]
"""Field, or model -> the job to begin with."""

LATE: list[str] = TOLD["late"]
"""Fields that show in nothing but what the workshop gets."""

REFUSED: dict[str, str] = TOLD["refused"]
"""Fields of which no other value goes with the rest of any job here, and why."""


def shops() -> Iterator[Shop]:
    """Every job, with its machine."""
    return _shops("shops")


def small_shops() -> list[tuple[Shop, dict[str, Tree]]]:
    """Those that are quick to build, and fields to change, by their paths."""
    return [(shop, TOLD["small shops"][shop.name]["changed"]) for shop in _shops("small shops")]


def _shops(section: str) -> Iterator[Shop]:
    for name, told in TOLD[section].items():
        path = ROOT / told["from"]
        job = yaml.safe_load(path.read_text(encoding="utf-8"))
        machine = None
        if isinstance(job["machine"], str):
            machine = yaml.safe_load((path.parent / job["machine"]).read_text(encoding="utf-8"))
            job["machine"] = "machine.yaml"
        job = _laid(job, told.get("with", {}))
        machine = _laid(machine, told.get("machine", {})) if machine else None
        yield Shop(name, job, machine, TOLD["others"], TOLD["tables"])


def _laid(under: Tree, over: Tree) -> Tree:
    """One tree over the other; null leaves a field out."""
    if not isinstance(under, dict) or not isinstance(over, dict):
        return copy.deepcopy(over)
    found = {**under}
    for key, value in over.items():
        if value is None:
            found.pop(key, None)
        else:
            found[key] = _laid(under.get(key), value)
    return found
