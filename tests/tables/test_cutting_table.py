"""Specific cutting forces: what little is published, the order of directions, and honesty."""

from __future__ import annotations

from itertools import pairwise

import pytest

from jigs.errors import TableError
from jigs.tables import CuttingForce, cutting_force, rows_of, woods
from jigs.tables.boards import BOARDS
from jigs.tables.cutting import DIRECTIONS

ROWS = [row for row in rows_of("specific cutting forces") if isinstance(row, CuttingForce)]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.material} {row.direction}")
def test_every_row_is_a_band_that_finds_itself(row):
    assert row.low < row.specific_force < row.high
    direction = "90-90" if row.direction == "any" else row.direction
    assert cutting_force(row.material.upper(), direction) == row
    for name in row.also:
        assert cutting_force(name, direction) == row


@pytest.mark.parametrize("published", [32.0, 37.6])
def test_particleboard_of_the_one_published_point(published):
    """Palubicki, Materials 14 (2021) 2208, abstract: means at 40 and 60 m/s."""
    row = cutting_force("particleboard", "90-0")
    assert row.low < published < row.high
    assert not row.is_assumed


def test_solid_wood_says_that_it_is_assumed():
    solid = [row for row in ROWS if row.direction != "any"]
    assert len(solid) == 9
    for row in solid:
        assert row.is_assumed
        assert row.source.startswith("assumed")


@pytest.mark.parametrize("material", ["beech", "cherry", "spruce"])
def test_directions_keep_their_order(material):
    """End grain is hardest, across with the edge along the grain easiest (Kivimaa 1950; memory)."""
    forces = [cutting_force(material, direction) for direction in ("0-90", "90-0", "90-90")]
    for easy, hard in pairwise(forces):
        assert easy.specific_force < hard.specific_force
        assert easy.low < hard.low
        assert easy.high < hard.high


def test_bands_are_wider_than_one_species_alone():
    """Pinus taeda, mature over juvenile wood: + 33.4 % (90-0), + 12 % (90-90), scielo.br."""
    for row in ROWS:
        if row.direction in DIRECTIONS:
            assert row.high / row.low > 2.0, "several species and tools differ more than one tree"


def test_fibreboard_takes_more_than_spruce():
    """Sedlecky and Gasparik, BioResources 12(4) 7413: power of MDF above spruce panel."""
    assert (
        cutting_force("MDF", "90-0").specific_force > cutting_force("spruce", "90-0").specific_force
    )


def test_every_wood_and_board_of_the_tables_has_a_row():
    for direction in DIRECTIONS:
        for name in (*woods.WOODS.keys, *BOARDS.keys):
            assert cutting_force(name, direction).high > 0


@pytest.mark.parametrize(
    ("material", "direction", "there_is"),
    [
        ("teak", "90-90", "dense hardwood 90-90"),
        ("beech", "sideways", "0-90"),
        ("MDF", "any way", "90-90"),
    ],
)
def test_failed_look_up_lists_what_there_is(material, direction, there_is):
    with pytest.raises(TableError) as caught:
        cutting_force(material, direction)
    assert there_is in str(caught.value)
