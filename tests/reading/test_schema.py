"""The JSON schemas beside the job files: as generated, and of one mind with the reader."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

from jigs.reading.schema import JOB_FILE, MACHINE_FILE, schema_texts, write

ROOT = Path(__file__).parents[2]
CONFIGS = ROOT / "configs"
SCHEMAS = (JOB_FILE, MACHINE_FILE)
SHIPPED = [
    *((path, JOB_FILE) for path in sorted(CONFIGS.glob("*.yaml"))),
    *((path, MACHINE_FILE) for path in sorted((CONFIGS / "machines").glob("*.yaml"))),
    *((path, JOB_FILE) for path in sorted((ROOT / "tests/jobs").glob("*.yaml"))),
]
IDS = [path.stem for path, _ in SHIPPED]


def schema(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((CONFIGS / name).read_text(encoding="utf-8"))
    return found


def data(path: Path) -> dict[str, Any]:
    """The file as YAML's own rules read it, without this library."""
    found: dict[str, Any] = yaml.safe_load(path.read_text(encoding="utf-8"))
    return found


def faults(name: str, value: object) -> list[str]:
    return [e.message for e in Draft202012Validator(schema(name)).iter_errors(value)]


def nodes(tree: object, at: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every mapping of a schema with its path."""
    if isinstance(tree, dict):
        yield at, tree
        for key, value in tree.items():
            yield from nodes(value, f"{at}/{key}")
    elif isinstance(tree, list):
        for i, value in enumerate(tree):
            yield from nodes(value, f"{at}/{i}")


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_file_is_the_generated_one(name: str) -> None:
    there = (CONFIGS / name).read_bytes()
    assert there == schema_texts()[name].encode(), (
        f"configs/{name} is out of date; regenerate: python -m jigs.reading.schema configs"
    )


def test_writing_makes_both_files_and_says_which(tmp_path: Path) -> None:
    assert write(tmp_path) == [tmp_path / name for name in SCHEMAS]
    for name in SCHEMAS:
        text = (tmp_path / name).read_text(encoding="utf-8")
        assert (
            text
            == json.dumps(json.loads(text), indent=1, sort_keys=True, ensure_ascii=False) + "\n"
        )


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_schema_is_sound(name: str) -> None:
    whole = schema(name)
    Draft202012Validator.check_schema(whole)
    links = {node["$ref"] for _, node in nodes(whole) if "$ref" in node}
    assert links == {f"#/$defs/{known}" for known in whole["$defs"]}


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_field_says_what_it_is(name: str) -> None:
    models = [
        (at, node) for at, node in nodes(schema(name)) if "title" in node and "properties" in node
    ]
    assert len(models) > 8
    silent = [
        f"{at}: {field}"
        for at, model in models
        for field, about in model["properties"].items()
        if not about.get("description", "").strip()
    ]
    assert silent == []


@pytest.mark.parametrize("name", SCHEMAS)
def test_no_mapping_takes_unknown_keys(name: str) -> None:
    free = [
        at
        for at, node in nodes(schema(name))
        if ("properties" in node and node.get("type") == "object") or "patternProperties" in node
        if node.get("additionalProperties") is not False
    ]
    assert free == []


@pytest.mark.parametrize(("path", "name"), SHIPPED, ids=IDS)
def test_a_shipped_file_fits_and_names_its_schema(path: Path, name: str) -> None:
    assert faults(name, data(path)) == []
    first = path.read_text(encoding="utf-8").splitlines()[0]
    mark = "# yaml-language-server: $schema="
    assert first.startswith(mark)
    assert (path.parent / first.removeprefix(mark)).resolve() == (CONFIGS / name).resolve()


def slipped(tree: dict[str, Any], *keys: str) -> dict[str, Any]:
    """A copy in which the last of the keys is misspelt."""
    changed = copy.deepcopy(tree)
    inner = changed
    for key in keys[:-1]:
        inner = inner[key]
    inner[f"{keys[-1]}x"] = inner.pop(keys[-1])
    return changed


@pytest.mark.parametrize(
    ("name", "keys"),
    [
        (JOB_FILE, ("revision",)),
        (JOB_FILE, ("pieces", "dibber", "taper")),
        (JOB_FILE, ("pieces", "dibber", "dome", "rise")),
        (JOB_FILE, ("sheets", "ply", "measured")),
        (JOB_FILE, ("linings", "rubber", "hardness")),
        (JOB_FILE, ("cuts", "mark", "stick_out")),
        (JOB_FILE, ("jigs", "ring", "wood")),
        (JOB_FILE, ("setups", "marking", "cut")),
        (MACHINE_FILE, ("front_face",)),
        (MACHINE_FILE, ("spindle", "dust_hood")),
        (MACHINE_FILE, ("table", "fixing", "profile", "lip")),
        (MACHINE_FILE, ("cutters", "ball 6", "shape")),
    ],
)
def test_a_misspelt_key_is_refused(name: str, keys: tuple[str, ...]) -> None:
    path = CONFIGS / ("allotment.yaml" if name == JOB_FILE else "machines/bench_router.yaml")
    assert faults(name, data(path)) == []
    assert faults(name, slipped(data(path), *keys)) != []


@pytest.mark.parametrize(
    ("section", "refused"),
    [
        ({"set": {"gap": "8.5 mm"}}, False),
        ({"built": {"gap": 8.5, "drawbolt_size": "M8"}}, False),
        ({"set": {"gapp": 8.5}}, True),
        ({"set": {"gap": "wide"}}, True),
        ({"set": {"gap": "8,5"}}, True),
        ({"kind": "split_rng"}, True),
    ],
)
def test_the_numbers_of_a_jig(section: dict[str, Any], refused: bool) -> None:
    job = data(CONFIGS / "allotment.yaml")
    job["jigs"]["ring"] |= section
    assert bool(faults(JOB_FILE, job)) is refused


@pytest.mark.parametrize("name", ["../x", "a/b", "C:\\x", "ring "])
def test_a_name_that_is_a_path_is_refused(name: str) -> None:
    job = data(CONFIGS / "allotment.yaml")
    job["jigs"][name] = job["jigs"].pop("gauge")
    assert faults(JOB_FILE, job) != []


def test_a_job_may_hold_its_machine() -> None:
    job = data(CONFIGS / "allotment.yaml")
    job["machine"] = data(CONFIGS / "machines/bench_router.yaml")
    del job["machine"]["units"]
    assert faults(JOB_FILE, job) == []
    job["machine"]["under_gantri"] = job["machine"].pop("under_gantry")
    assert faults(JOB_FILE, job) != []
