"""No cache may serve a stale part: each field of each model is changed in turn.

By numbers first: what a build would write, or ask of its solids, changes with the field, or
`every_field/shops.yaml` says why not. Then with the kernel: a build of the changed job that finds
what the unchanged one left in the store writes the very bytes of a build that finds nothing.
"""

from __future__ import annotations

import contextlib
import json
import random
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from jigs.building import build
from jigs.errors import JigsError
from jigs.kept import WHERE, Kept
from jigs.kinds import kinds

from .every_field.outcome import Outcome
from .every_field.shops import LATE, LOOK_FIRST, REFUSED, UNMOVED, shops, small_shops
from .every_field.walking import Field, Shop, every_owner

EARLY, DEEP = ("report", 3, 4), ("workshop", 1, 1)
"""How far to look, in how many places of a job, with how many other values."""


@dataclass(frozen=True)
class Place:
    """A field in one of the jobs, and what follows from that job as it is."""

    shop: Shop
    field: Field
    base: Outcome

    def moves(self, value: object, folder: Path, last: str) -> str:
        """The first stage in which another value shows. Raises JigsError."""
        changed = Outcome(self.shop.read(folder, self.field, value))
        return changed.differs(self.base, last)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("jobs")


def places_in(all_shops: Iterator[Shop], folder: Path) -> dict[str, list[Place]]:
    """Where each field stands, by model and field."""
    found: dict[str, list[Place]] = defaultdict(list)
    for shop in all_shops:
        base = Outcome(shop.read(folder))
        for field in shop.fields(base.d):
            found[field.owner].append(Place(shop, field, base))
    return dict(found)


@pytest.fixture(scope="module")
def places(folder: Path) -> dict[str, list[Place]]:
    return places_in(shops(), folder)


def trials(owner: str, where: list[Place], folder: Path) -> Iterator[tuple[str, str]]:
    """Changes of a field, up to the first that shows: the stage, or how it was refused."""
    first = LOOK_FIRST.get(owner, LOOK_FIRST.get(owner.partition(".")[0]))
    in_order = sorted(where, key=lambda place: place.shop.name != first)
    for last, most, values in (DEEP,) if owner in LATE else (EARLY, DEEP):
        seen: dict[str, int] = defaultdict(int)
        for place in in_order:
            seen[place.shop.name] += 1
            for value in place.field.values[:values] if seen[place.shop.name] <= most else ():
                try:
                    stage, refused = place.moves(value, folder, last), ""
                except JigsError as error:
                    stage, refused = "", str(error)
                yield stage, refused
                if stage:
                    return


def test_every_field_of_every_model_stands_in_one_of_the_jobs(
    places: dict[str, list[Place]],
) -> None:
    there = {owner.partition("#")[0] for owner, where in places.items() if where[0].field.values}
    assert every_owner(list(kinds())) - there == set()


MODELS = sorted({owner.partition(".")[0] for owner in every_owner(list(kinds()))})


@pytest.mark.parametrize("model", [name for name in MODELS if not name.endswith("_built")])
def test_what_a_field_says_shows_in_what_is_made_or_asked(
    model: str, places: dict[str, list[Place]], folder: Path
) -> None:
    """Numbers of a built jig go the way of those that are set; the slow test builds with some."""
    unmoved: dict[str, object] = {}
    refused: dict[str, object] = {}
    for owner, where in places.items():
        if owner.partition(".")[0] != model or owner in {**UNMOVED, **REFUSED}:
            continue
        told = list(trials(owner, where, folder))
        if not any(stage for stage, _ in told):
            only_refused = all(refusal for _, refusal in told)
            (refused if only_refused else unmoved)[owner] = told[-1:]
    assert unmoved == {}, "no stage shows these: a key may be without them"
    assert refused == {}, "no other value was found for these"


@pytest.mark.parametrize("last", ["workshop", pytest.param("papers", marks=pytest.mark.slow)])
@pytest.mark.parametrize("owner", sorted(UNMOVED))
def test_what_is_said_to_change_nothing_changes_nothing(
    owner: str, last: str, places: dict[str, list[Place]], folder: Path
) -> None:
    assert len(UNMOVED[owner]) > 20, "the reason"
    place = places[owner][0]
    assert place.moves(place.field.values[0], folder, last) == ""


@pytest.mark.parametrize("owner", sorted(REFUSED))
def test_what_is_said_to_be_refused_is_refused(
    owner: str, places: dict[str, list[Place]], folder: Path
) -> None:
    assert len(REFUSED[owner]) > 20, "the reason"
    for place in places[owner]:
        for value in place.field.values:
            with pytest.raises(JigsError):
                place.moves(value, folder, "report")


def test_refusals_are_few() -> None:
    assert len(REFUSED) <= 4


# -- with the kernel ------------------------------------------------------------------------------


def bytes_of(job: Path, out: Path, **left_out: Any) -> dict[str, bytes]:
    """What a build writes."""
    build(job, out, **left_out)
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in sorted(out.rglob("*"))
        if path.is_file()
    }


def worked_out_anew(
    kept: Kept, kind: str, said: tuple[object, ...], work_out: Callable[[], object]
) -> object:
    """In the place of what looks an answer up."""
    return json.loads(json.dumps(work_out()))


@dataclass
class Twice:
    """A job built with what was kept of it before the change, and with nothing."""

    monkeypatch: pytest.MonkeyPatch
    folder: Path

    def built(
        self, shop: Shop, store: Path | None, job: Path, **left_out: bool
    ) -> dict[str, bytes]:
        """What a build writes with a store, or where nothing is ever found."""
        out = self.folder / f"{len(list(self.folder.iterdir()))} {shop.name}"
        with self.monkeypatch.context() as patched:
            patched.setenv(WHERE, str(store) if store else "off")
            if store is None:
                patched.setattr(Kept, "answer", worked_out_anew)
            return bytes_of(job, out, **left_out)

    def differences(self, shop: Shop, changes: dict[Field, object], **left_out: bool) -> list[str]:
        """Files that a build with the store of the unchanged job writes otherwise."""
        work = self.folder / "job"
        work.mkdir(exist_ok=True)
        store = self.folder / f"kept {shop.name}"
        if not store.exists():
            self.built(shop, store, shop.write(work), **left_out)
        job = shop.write(work, changes)
        warm = self.built(shop, store, job, **left_out)
        cold = self.built(shop, None, job, **left_out)
        assert len(cold) > 10
        return [name for name in warm.keys() | cold.keys() if warm.get(name) != cold.get(name)]


@pytest.fixture
def twice(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Twice:
    return Twice(monkeypatch, tmp_path)


def by_model(found: dict[str, list[Place]]) -> dict[str, list[Place]]:
    """Places by the model that has the field."""
    models: dict[str, list[Place]] = defaultdict(list)
    for owner, where in found.items():
        if owner not in UNMOVED and owner not in REFUSED:
            models[owner.partition(".")[0]] += where
    return models


def drawn(where: list[Place], folder: Path, seed: str) -> Iterator[tuple[Place, object]]:
    """Fields of a model in a drawn order, each with a value at which something else is made."""
    order = sorted(where, key=lambda place: (place.shop.name, place.field.path))
    for place in random.Random(seed).sample(order, len(order)):
        for value in place.field.values:
            with contextlib.suppress(JigsError):
                if place.moves(value, folder, "placed"):
                    yield place, value
                    break


def changes_of(shop: Shop, told: dict[str, object], folder: Path) -> dict[Field, object]:
    by_path = {field.path: field for field in shop.fields(shop.read(folder))}
    return {by_path[path]: value for path, value in told.items()}


def test_a_job_changed_in_every_model_gets_nothing_stale(twice: Twice, folder: Path) -> None:
    """All at once, and put together, loaded and taken apart."""
    shop, told = small_shops()[0]
    changes = changes_of(shop, told, folder)
    assert len({field.owner.partition(".")[0] for field in changes}) > 15, "models"
    assert twice.differences(shop, changes, dry_fit=True, pictures=False, papers=False) == []


def test_a_job_with_one_field_changed_gets_nothing_stale(twice: Twice, folder: Path) -> None:
    """One by one: what changes little shares most with the unchanged job."""
    shop, told = small_shops()[1]
    for field, value in changes_of(shop, told, folder).items():
        changed = {field: value}
        found = twice.differences(shop, changed, dry_fit=False, pictures=False, papers=False)
        assert found == [], field.path


@pytest.mark.slow
@pytest.mark.parametrize("model", MODELS)
def test_one_field_of_each_model_changes_everything_that_it_should(
    model: str, twice: Twice, places: dict[str, list[Place]], folder: Path
) -> None:
    """With pictures, drawings and all: half a minute to two minutes each."""
    place, value = next(drawn(by_model(places)[model], folder, model))
    assert twice.differences(place.shop, {place.field: value}) == []
