"""What random jobs brought to light: each slip of the pen is refused at once, where it stands.

Before, these hung, ended in a traceback, or were taken in silence.
"""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import pytest
import yaml

from jigs.errors import DesignError, JigsError
from jigs.kinds._anchoring import two_sided
from jigs.reading.job import read_job
from jigs.refusing import no_jig, refused_as_numbers
from jigs.sizing import Design, design

ROOT = Path(__file__).parents[2]
CONFIGS = ROOT / "configs"


def job_with(folder: Path, name: str, *changes: tuple[str, Any]) -> Design:
    """A shipped job (or one of `tests/shops`), its machine written into it, with those changes."""
    path = CONFIGS / f"{name}.yaml"
    data = yaml.safe_load(
        (path if path.exists() else ROOT / f"tests/shops/{name}.yaml").read_bytes()
    )
    if isinstance(data["machine"], str):
        machine = yaml.safe_load((CONFIGS / data["machine"]).read_bytes())
        machine.pop("units")
        data["machine"] = machine
    for keys, value in changes:
        *way, last = keys.split("/")
        at = data
        for key in way:
            at = at.setdefault(key, {})
        at[last] = value
    file = folder / "job.yaml"
    file.write_text(yaml.safe_dump(data, allow_unicode=True, sort_keys=False), encoding="utf-8")
    return design(read_job(file))


@pytest.mark.parametrize(
    ("name", "key", "value", "says"),
    [
        ("allotment", "jigs/clamp/set/ribs", 1_000_000, "1 to 24 ribs"),
        ("allotment", "pieces/post/depth", 15_000, "1 to 24 ribs"),
        ("allotment", "jigs/clamp/set/fence_layers", 1_000_000, "1 to 12"),
        ("allotment", "jigs/clamp/set/fence_layers", 0, "1 to 12"),
        ("allotment", "jigs/ring/set/shelf_layers", 1_000_000, "1 to 12"),
        ("allotment", "jigs/gauge/set/slices", 1_000_000, "1 to 100 slices"),
        ("allotment", "jigs/gauge/set/slices", -1, "1 to 100 slices"),
        ("clamp_on_a_riser", "jigs/riser/set/layers", 1_000_000, "1 to 30"),
        ("allotment", "jigs/clamp/set/ribs", 25, "1 to 24 ribs"),
        ("allotment", "jigs/clamp/set/fence_layers", 13, "1 to 12"),
        ("allotment", "jigs/ring/set/shelf_layers", 13, "1 to 12"),
        ("allotment", "jigs/gauge/set/slices", 101, "1 to 100 slices"),
        ("clamp_on_a_riser", "jigs/riser/set/layers", 31, "1 to 30"),
        ("allotment", "jigs/clamp/set/stop_side", 7, "-1, 1"),
        ("allotment", "jigs/ring/set/hang_by", "hope", "hang_by"),
        ("allotment", "jigs/ring/set/liner_groups", [3], "liner_groups"),
        ("allotment", "machine/table/fixing/at", list(range(60, 600)), "at most 100"),
    ],
)  # fmt: skip
def test_a_slip_of_the_pen_is_refused_at_once(
    name: str, key: str, value: Any, says: str, tmp_path: Path
) -> None:
    start = time.process_time()
    with pytest.raises(JigsError, match=says):
        job_with(tmp_path, name, (key, value))
    assert time.process_time() - start < 1.0


def test_a_list_may_be_set_where_the_rule_gives_a_list(tmp_path: Path) -> None:
    """`stud_z` was read as one number, since its rule calls its tuple by another name."""
    by_rule = job_with(tmp_path, "front_bar_two_bars").numbers()["clamp.stud_z"].value
    assert isinstance(by_rule, tuple)
    made = job_with(tmp_path, "front_bar_two_bars", ("jigs/clamp/set/stud_z", list(by_rule)))
    assert made.numbers()["clamp.stud_z"].value == by_rule
    with pytest.raises(JigsError, match="stud_z"):
        job_with(tmp_path, "front_bar_two_bars", ("jigs/clamp/set/stud_z", 40))


def test_a_backer_for_which_no_screw_is_short_enough_is_said(tmp_path: Path) -> None:
    thin = {"material": "birch plywood", "nominal": 18, "measured": "3.5 ± 0.1"}
    made = job_with(
        tmp_path, "allotment", ("sheets/ply", thin), ("cuts/label slot/direction", "x"),
        ("jigs/clamp/set/backer", 5.0),
    )  # fmt: skip
    *_, (_, clamp) = made.jigs()
    with pytest.raises(DesignError, match="short enough for the backer"):
        getattr(clamp, "parts")  # noqa: B009 - parts are made when they are first asked for


def test_a_long_table_with_many_slots_is_searched_in_no_time() -> None:
    """A bed of 6 m: 4,950 pairs of slots. The nearest pair that is far enough apart, by hand."""
    slots = tuple(60.0 * (i + 1) for i in range(100))
    start = time.process_time()
    found = two_sided(slots, 131.0, 131.0, 42.0, 10.2, (0.0, 6060.0), None, (40.0, 40.0))
    assert time.process_time() - start < 0.5
    assert found.second - found.first == 300, "two times 131 mm, up to the next slot"
    # foot of 42 mm between mouths of 10.2 mm, pitch 60: midway, (60 - 42 - 10.2) / 2 = 3.9 left
    assert (found.middle - 30) % 60 == pytest.approx(0)


def test_a_rule_of_arithmetic_is_told_as_numbers(tmp_path: Path) -> None:
    """Whose numbers, what went wrong, and what was set by hand, with its line."""
    made = job_with(tmp_path, "allotment", ("jigs/ring/set/squeeze", 0.4))
    ring = next(jig for _, jig in made.jigs() if jig.name == "ring")
    told = no_jig(ValueError("span must be above 0"), ring.n)
    assert told.what == "ring"
    assert "span must be above 0" in told.reason
    assert "ring.squeeze = 0.4 (job.yaml:" in told.remedy
    with pytest.raises(DesignError, match="do not make a jig"), refused_as_numbers(ring.n):
        raise KeyError("nothing of the kind")
    with pytest.raises(DesignError, match="plain: as it is"), refused_as_numbers(ring.n):
        raise DesignError("plain", "as it is")
