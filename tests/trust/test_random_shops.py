"""Shops drawn at random: a quick sample of what `long_run.py` does by the thousand.

Every job is answered: with finite numbers and findings, or with a refusal that names place and
reason within a second. Nothing that the user wrote is cut to size in silence.
"""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from .shops import shop, text_of, written
from .wide import spots
from .work import judge_plausible, judge_widened, reported

QUICK = settings(
    deadline=None, database=None, derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)  # fmt: skip
SEEDS = st.integers(0, 2**32)


@given(seed=SEEDS)
@settings(QUICK, max_examples=25)
def test_any_value_that_a_field_takes_is_answered(seed: int, tmp_path: Path) -> None:
    outcome = judge_widened(random.Random(seed), tmp_path / "job.yaml")
    assert (outcome.design is None) == (outcome.kind == "refused")
    reported(outcome)


def test_most_plausible_shops_can_be_built(tmp_path: Path) -> None:
    """The issue asks for 70 %; 20 draws tell 90 % from 50 %."""
    told: Counter[str] = Counter()
    for i in range(20):
        outcome = judge_plausible(random.Random(f"quick {i}"), tmp_path / "job.yaml")
        told[outcome.kind] += 1
        reported(outcome)
    assert told["refused"] <= 6
    assert told["met"] >= 1
    assert sum(told.values()) == 20


def test_every_field_of_every_model_is_drawn() -> None:
    """A field that a model gains is drawn without a change here; these are some of them."""
    r = random.Random("fields")
    drawn = {spot.keys[-1] for _ in range(12) for spot in spots(written(shop(r), False))}
    assert drawn >= {
        "grip_diameter", "taper", "rise", "width", "mouth", "pitch", "columns", "thickness",
        "under_gantry", "z", "diameter", "flutes", "helix", "measured", "hardness", "depth",
        "stick_out", "feed", "squeeze", "gap", "ribs", "hold_torque", "crown_height",
        "corner_relief", "at", "park", "shims", "knob_made", "revision",
    }  # fmt: skip


@pytest.mark.parametrize("inches", [False, True])
def test_the_same_seed_draws_the_same_shop(inches: bool) -> None:
    one, other = (shop(random.Random("same"), inches=inches) for _ in "ab")
    assert one == other
    assert yaml.safe_load(text_of(one, inches=inches))["units"] == ("inch" if inches else "mm")
