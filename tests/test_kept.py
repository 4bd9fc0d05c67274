"""The store of what was worked out before: found again, never wrong, never in the way."""

import os
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from jigs import kept, provenance
from jigs.kept import Kept, digest, store_file
from jigs.model.outline import Outline
from jigs.model.part import Cut, Does, Face, Part, Sheet


class Counting:
    """An answer that counts how often it was worked out."""

    def __init__(self, answer: object) -> None:
        self.answer, self.times = answer, 0

    def __call__(self) -> object:
        self.times += 1
        return self.answer


@pytest.fixture
def file(tmp_path) -> Path:
    return tmp_path / "deep" / "down" / "kept.sqlite"


def filled(file: Path, value: object = 0.1, made_by: str = "this code") -> None:
    store = Kept(file, made_by)
    store.answer("measure", ("a", 1.5), lambda: value)
    store.bytes_of("solid", ("b",), lambda: b"solid bytes")
    store.close()


@pytest.mark.parametrize(
    "value", [0.1, 1 / 3, float("inf"), None, 0.0, [1e-17, [2.0, -0.0]], "words"]
)
def test_another_process_finds_the_very_same_answer(file, value):
    filled(file, value)
    asked = Counting("worked out anew")
    found = Kept(file, "this code").answer("measure", ("a", 1.5), asked)
    assert found == value
    assert repr(found) == repr(value)
    assert asked.times == 0


@pytest.mark.parametrize(
    ("kind", "said", "made_by"),
    [("sweep", ("a", 1.5), "this code"), ("measure", ("a", 1.5000000001), "this code"),
     ("measure", ("a", 1.5), "other code"), ("measure", (("a", 1.5),), "this code")],
)  # fmt: skip
def test_nothing_is_found_under_anything_else(file, kind, said, made_by):
    filled(file)
    asked = Counting("anew")
    assert Kept(file, made_by).answer(kind, said, asked) == "anew"
    assert asked.times == 1


def test_each_answer_is_worked_out_once_in_a_process():
    store, asked = Kept(), Counting(4.0)
    assert [store.answer("m", (1,), asked) for _ in range(3)] == [4.0] * 3
    assert asked.times == 1


def rewritten(file: Path, sql: str) -> None:
    with sqlite3.connect(file) as base:
        base.execute(sql)
    base.close()


@pytest.mark.parametrize(
    "spoil",
    [
        lambda f: f.write_bytes(b"this is no store at all" * 99),
        lambda f: f.write_bytes(b""),
        lambda f: f.write_bytes(f.read_bytes()[: f.stat().st_size // 3]),
        lambda f: rewritten(f, "UPDATE kept SET value = x'30'"),
        lambda f: rewritten(f, "UPDATE kept SET seal = x''"),
        lambda f: rewritten(f, "UPDATE kept SET value = (SELECT value FROM kept LIMIT 1)"),
        lambda f: rewritten(f, "DROP TABLE kept"),
        lambda f: f.unlink(),
    ],
    ids=["no store", "empty", "torn", "value", "seal", "misplaced", "no table", "gone"],
)
def test_wrong_bytes_count_as_not_there(file, spoil):
    """Whatever is wrong: the right answers come, and the store works again after."""
    filled(file)
    spoil(file)
    store = Kept(file, "this code")
    assert store.answer("measure", ("a", 1.5), lambda: 0.1) == 0.1
    assert store.bytes_of("solid", ("b",), lambda: b"solid bytes") == b"solid bytes"
    store.close()
    filled(file)
    asked = Counting("anew")
    again = Kept(file, "this code")
    assert again.answer("measure", ("a", 1.5), asked) == 0.1
    assert again.bytes_of("solid", ("b",), lambda: b"other") == b"solid bytes"
    assert asked.times == 0


def test_a_store_that_cannot_be_written_costs_time_and_nothing_else(tmp_path):
    (tmp_path / "a file").write_text("in the way")
    store = Kept(tmp_path / "a file" / "kept.sqlite", "this code")
    assert store.answer("measure", (1,), lambda: 7.0) == 7.0
    assert store.bytes_of("solid", (1,), lambda: b"x") == b"x"
    store.close()
    assert not store.lasts
    assert (tmp_path / "a file").read_text() == "in the way"


def test_an_answer_that_cannot_be_worked_out_is_not_kept(file):
    store = Kept(file)
    with pytest.raises(ZeroDivisionError):
        store.answer("measure", (1,), lambda: 1 / 0)
    assert store.bytes_of("picture", (1,), lambda: None) is None
    store.close()
    assert Kept(file).answer("measure", (1,), lambda: 2.0) == 2.0
    assert Kept(file).bytes_of("picture", (1,), lambda: b"now") == b"now"


FILLS = """
import sys
from pathlib import Path
from jigs.kept import Kept
start = int(sys.argv[2])
for turn in range(5):
    store = Kept(Path(sys.argv[1]), "this code")
    for number in range(start + 40 * turn, start + 40 * turn + 40):
        store.answer("n", (number,), lambda: number * 0.5)
    store.close()
"""


def test_several_processes_may_share_a_store(file):
    command = [sys.executable, "-c", FILLS, str(file)]
    writers = [subprocess.Popen([*command, str(1000 * k)]) for k in range(3)]
    assert [writer.wait(60) for writer in writers] == [0, 0, 0]
    store, asked = Kept(file, "this code"), Counting(-1.0)
    for k in range(3):
        for i in range(200):
            number = 1000 * k + i
            found = store.answer("n", (number,), asked)
            assert found in (number * 0.5, -1.0)
    # A writer that waited too long for another goes without: few answers may be missing.
    assert asked.times <= 80


def test_what_nobody_asks_for_goes_first_when_room_is_short(file, monkeypatch):
    monkeypatch.setattr(kept, "MOST_BYTES", 5000)
    old = Kept(file)
    old.bytes_of("solid", ("old",), lambda: b"o" * 2000)
    old.close()
    rewritten(file, "UPDATE kept SET used = used - 1")
    new = Kept(file)
    for name in ("new", "newer"):
        new.bytes_of("solid", (name,), lambda: b"n" * 2000)
    new.close()
    again = Kept(file)
    assert again.bytes_of("solid", ("old",), lambda: b"made anew") == b"made anew"
    assert again.bytes_of("solid", ("newer",), lambda: b"made anew") == b"n" * 2000


def test_what_nobody_asked_for_in_a_long_time_goes(file):
    filled(file)
    rewritten(file, f"UPDATE kept SET used = {int(time.time()) // kept.DAY - kept.MOST_DAYS - 1}")
    store = Kept(file, "this code")
    store.answer("other", (1,), lambda: 1)
    store.close()
    with sqlite3.connect(file) as base:
        assert base.execute("SELECT COUNT(*) FROM kept").fetchone() == (1,)


def test_a_digest_tells_every_part_of_a_description():
    def part(**change):
        cut = Cut("hole", Face.TOP, Outline.circle(5, 5, change.pop("diameter", 4.0)), Does.HOLE)
        about = {"id": "plate", "title": "plate", "made": Sheet("birch ply"), "cuts": (cut,),
                 "outline": Outline.rectangle(0, 0, 20, 10), "thickness": 6.0}  # fmt: skip
        return Part(**{**about, **change})

    told = [
        part(), part(id="other"), part(diameter=4.0000001), part(thickness=6.1), part(eased=1.0),
        part(made=Sheet("mdf")), part(outline=Outline.rectangle(0, 0, 20, 11)), part(cuts=()),
        part(marks=("UP",)), part(quantity=2), part(sacrificial=True), part(title="board"),
    ]  # fmt: skip
    assert len({digest(each) for each in told}) == len(told)
    assert digest(part()) == digest(part())


def test_a_thing_that_tells_only_its_address_has_no_digest():
    with pytest.raises(TypeError, match="not a description"):
        digest(object())


def test_where_the_store_lies_can_be_said_or_switched_off(monkeypatch, tmp_path):
    monkeypatch.setenv(kept.WHERE, str(tmp_path))
    assert store_file() == tmp_path / "kept.sqlite"
    monkeypatch.setenv(kept.WHERE, "Off")
    assert store_file() is None
    monkeypatch.delenv(kept.WHERE)
    assert store_file().name == "kept.sqlite"
    assert "jigs" in store_file().parts


def test_other_code_or_other_libraries_find_nothing_of_it(monkeypatch, tmp_path):
    monkeypatch.setenv(kept.WHERE, str(tmp_path))
    first = provenance.open_store()
    first.answer("measure", (1,), lambda: 1.0)
    first.close()
    assert provenance.open_store().answer("measure", (1,), lambda: 2.0) == 1.0
    with monkeypatch.context() as patched:
        patched.setattr(provenance, "code_digest", lambda: "one letter changed")
        assert provenance.open_store().answer("measure", (1,), lambda: 2.0) == 2.0
    with monkeypatch.context() as patched:
        newer = {**provenance.versions(), "cadquery": "99.0"}
        patched.setattr(provenance, "versions", lambda: newer)
        assert provenance.open_store().answer("measure", (1,), lambda: 3.0) == 3.0


def test_the_tests_have_a_store_of_their_own():
    assert os.environ[kept.WHERE]
