"""Sold lengths, T-slots with nuts and bolts, inserts, screws, dowels and springs."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from jigs.errors import TableError
from jigs.tables import (
    SoldLengths,
    compression_spring,
    dowel,
    next_length,
    rows_of,
    sold_lengths,
    t_slot,
    t_slot_bolt,
    t_slot_nut,
    thread,
    wood_insert,
    wood_screw,
)

ISO_STEPS = {  # PyPI bd-warehouse 0.4.0 nominal_screw_lengths.csv, rows iso4014 and iso4017
    *(6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100, 110, 120),
    *(130, 140, 150, 160, 180, 200, 220, 240, 260, 280, 300),
}
SLOTS = (5, 6, 8, 10, 12, 14, 18, 22)


@pytest.mark.parametrize(
    ("family", "size", "shortest", "longest_of_standard"),
    [  # PyPI bd-warehouse 0.4.0 hex_head_parameters.csv, short and long of ISO 4014 and ISO 4017
        ("hex bolt", "M4", 25, 40),
        ("hex bolt", "M5", 25, 50),
        ("hex bolt", "M6", 30, 60),
        ("hex bolt", "M8", 40, 80),
        ("hex bolt", "M10", 45, 100),
        ("hex bolt", "M12", 50, 120),
        ("hex bolt", "M16", 65, 160),
        ("hex screw", "M4", 6, 40),
        ("hex screw", "M5", 8, 50),
        ("hex screw", "M6", 12, 60),
        ("hex screw", "M8", 16, 80),
        ("hex screw", "M10", 20, 100),
        ("hex screw", "M12", 25, 120),
        ("hex screw", "M16", 30, 150),
        # DIN 603 range per size (engineeringhardware.com), shortest also in kaf.ltd/din-603
        ("coach bolt", "M5", 16, 80),
        ("coach bolt", "M6", 16, 120),
        ("coach bolt", "M8", 20, 160),
        ("coach bolt", "M10", 25, 200),
        ("coach bolt", "M12", 30, 240),
        ("coach bolt", "M16", 40, 300),
        # ISO 4762, shaise/FreeCAD_FastenersWB iso4762def.csv; M6 and M8 start one step lower
        # there than in the DIN 912 mass table (8, 10 against 10, 12), which shops follow
        ("socket screw", "M4", 6, 40),
        ("socket screw", "M5", 8, 50),
        ("socket screw", "M6", 10, 60),
        ("socket screw", "M8", 12, 80),
        ("socket screw", "M10", 16, 100),
        ("socket screw", "M12", 20, 120),
        ("socket screw", "M16", 25, 160),
    ],
)
def test_range_of_the_standard(
    family: str, size: str, shortest: float, longest_of_standard: float
) -> None:
    lengths = sold_lengths(family, size)
    assert lengths[0] == shortest
    assert longest_of_standard in lengths
    inside = {step for step in ISO_STEPS if shortest <= step <= longest_of_standard}
    assert inside <= set(lengths) <= ISO_STEPS


@pytest.mark.parametrize("row", rows_of("sold lengths"), ids=lambda row: f"{row.family} {row.size}")
def test_lengths_climb_and_are_found_again(row: SoldLengths) -> None:
    assert list(row.lengths) == sorted(set(row.lengths))
    for length in row.lengths:
        assert next_length(row.family, row.size, length) == length
        assert next_length(row.family, row.size, length - 0.5) == length
    for short, long in pairwise(row.lengths):
        assert next_length(row.family, row.size, short + 0.01) == long
    with pytest.raises(TableError) as caught:
        next_length(row.family, row.size, row.lengths[-1] + 0.01)
    assert caught.value.there_is[-1] == f"{row.lengths[-1]:g}"


def test_next_length_reads_names_as_people_write_them() -> None:
    assert next_length("Coach bolt", "m8", 92.9) == 100
    assert next_length("hex bolt", '1/4"', 60) == pytest.approx(2.5 * 25.4)


@pytest.mark.parametrize(
    ("family", "size", "message"),
    [
        ("carriage", "M8", "coach bolt"),
        ("coach bolt", "M4", "M5, M6"),
        ("hex bolt", "M8x1", "M8x1.25"),
    ],
)
def test_unknown_family_or_size(family: str, size: str, message: str) -> None:
    with pytest.raises(TableError, match=message):
        next_length(family, size, 20)


@pytest.mark.parametrize(
    ("throat", "bolt", "recess_width", "recess_depth", "neck"),
    [  # ANSI/ASME B5.1M-1985 metric columns (engineersedge.com, dimension table for T-slots);
        # necks of 14, 18, 22 were not visible there
        (5, "M4", (10, 11), (3, 3.5), (4.5, 7)),
        (6, "M5", (11, 12.5), (5, 6), (5, 8)),
        (8, "M6", (14.5, 16), (7, 8), (7, 11)),
        (10, "M8", (16, 18), (7, 8), (9, 14)),
        (12, "M10", (19, 21), (8, 9), (11, 17)),
        (14, "M12", (23, 25), (9, 11), None),
        (18, "M16", (30, 32), (12, 14), None),
        (22, "M20", (37, 40), (16, 18), None),
    ],
)
def test_t_slot(
    throat: int,
    bolt: str,
    recess_width: tuple[float, float],
    recess_depth: tuple[float, float],
    neck: tuple[float, float] | None,
) -> None:
    row = t_slot(throat)
    assert row.bolt == bolt
    assert (row.recess_width_min, row.recess_width_max) == recess_width
    agrees = (row.recess_depth_min, row.recess_depth_max) == recess_depth
    smallest_differs = throat == 5  # BS 2485 prints 3.5 to 4.5; both give a slot 8 to 10 deep
    assert agrees is not smallest_differs
    if neck and not smallest_differs:
        assert (row.neck_min, row.neck_max) == neck


@pytest.mark.parametrize(
    ("throat", "depth"),
    [  # DIN 650, whole depth H, from memory (BS 2485 is the table's own source)
        (5, (8, 10)),
        (6, (11, 13)),
        (8, (15, 18)),
        (10, (17, 21)),
        (12, (20, 25)),
        (14, (23, 28)),
        (18, (30, 36)),
        (22, (38, 45)),
    ],
)
def test_depth_of_t_slot(throat: int, depth: tuple[float, float]) -> None:
    row = t_slot(throat)
    assert (row.depth_min, row.depth_max) == depth
    assert row.neck_min == depth[0] - row.recess_depth_max
    assert row.neck_max == depth[1] - row.recess_depth_min


@pytest.mark.parametrize("throat", SLOTS)
def test_limits_of_t_slot_bolt_heads(throat: int) -> None:
    """ASME B5.1M: width 1 mm below its largest (0.5 up to M5), height 0.4 (0.8 at M20)."""
    row = t_slot_bolt(throat)
    assert row.head_width - row.head_width_min == (0.5 if throat <= 6 else 1.0)
    assert row.head_height - row.head_height_min == pytest.approx(0.8 if throat == 22 else 0.4)


@pytest.mark.parametrize(
    ("above", "up_to", "it12", "it8"),
    [  # ISO 286-1 Table 1, standard tolerance grades; um
        (3, 6, 120, 18),
        (6, 10, 150, 22),
        (10, 18, 180, 27),
        (18, 30, 210, 33),
    ],
)
def test_throat_tolerance(above: float, up_to: float, it12: float, it8: float) -> None:
    rows = [t_slot(throat) for throat in SLOTS if above < throat <= up_to]
    assert rows
    for row in rows:
        assert row.throat_tolerance == pytest.approx(it12 / 1000)
        assert row.throat_tolerance_locating == pytest.approx(it8 / 1000)


@pytest.mark.parametrize("throat", SLOTS)
def test_nut_and_bolt_fit_the_smallest_slot(throat: int) -> None:
    slot, nut, bolt = t_slot(throat), t_slot_nut(throat), t_slot_bolt(throat)
    assert nut.thread == bolt.thread == slot.bolt
    assert nut.foot_width < slot.recess_width_min
    assert bolt.head_width < slot.recess_width_min
    assert max(nut.foot_height, bolt.head_height) < slot.recess_depth_min
    assert min(nut.foot_width, bolt.head_width_min) > throat + slot.throat_tolerance
    assert nut.height < slot.depth_max
    assert nut.foot_height < nut.height
    assert thread(bolt.thread).major_diameter < throat


BOLT_DISAGREEMENTS = {22: "DIN 787 has 35, ASME B5.1M 34"}


@pytest.mark.parametrize(
    ("throat", "head_width", "head_height"),
    [  # DIN 787 per slot: M12 x 14 seen in an open parts library's tests, the rest from memory
        (8, 13, 6),
        (10, 15, 6),
        (12, 18, 7),
        (14, 22, 8),
        (18, 28, 10),
        (22, 35, 14),
    ],
)
def test_t_slot_bolt_against_din(throat: int, head_width: float, head_height: float) -> None:
    row = t_slot_bolt(throat)
    assert (row.head_width == head_width) is (throat not in BOLT_DISAGREEMENTS)
    assert row.head_height == head_height


@pytest.mark.parametrize("throat", SLOTS)
def test_t_slot_nut_foot_is_a_bolt_head(throat: int) -> None:
    """DIN 508 nuts and ASME B5.1M bolts are made for one slot: width equal, heights within 0.5."""
    nut, bolt = t_slot_nut(throat), t_slot_bolt(throat)
    assert nut.foot_width == pytest.approx(bolt.head_width, abs=1.0 if throat == 22 else 0)
    assert nut.foot_height == pytest.approx(bolt.head_height, abs=0.5)


def test_pitches_of_a_small_router_table() -> None:
    assert 50 in t_slot(8).pitches
    for throat in SLOTS:
        assert min(t_slot(throat).pitches) > t_slot(throat).recess_width_max


@pytest.mark.parametrize("size", ["M4", "M5", "M6", "M8", "M10", "M12"])
def test_wood_insert_holds_its_thread(size: str) -> None:
    """Geometry: thread < hole < outside; DIN 7965 is at least twice the thread long."""
    row = wood_insert(size)
    inside = thread(size).major_diameter
    assert inside < row.hole_diameter < row.outer_diameter
    assert 1.0 <= row.outer_diameter - row.hole_diameter <= 2.0
    assert row.length >= 2 * inside


@pytest.mark.parametrize("diameter", [3, 3.5, 4, 4.5, 5, 6])
def test_wood_screw(diameter: float) -> None:
    """Common practice: head twice the thread, core 0.6 of it, pilot near the core."""
    row = wood_screw(diameter)
    assert row.head_diameter == pytest.approx(2 * diameter, rel=0.05)
    assert row.core_diameter == pytest.approx(0.62 * diameter, rel=0.05)
    assert row.core_diameter - 0.01 <= row.pilot_hole < diameter
    assert list(row.lengths) == sorted(set(row.lengths))


@pytest.mark.parametrize("diameter", [6, 8, 10, 12])
def test_dowel(diameter: float) -> None:
    """Common practice: a pin is three times as long as it is thick, or longer."""
    row = dowel(diameter)
    assert max(row.pin_lengths) >= 4 * diameter
    assert row.rod_length > max(row.pin_lengths)


@pytest.mark.parametrize("size", ["M6", "M8", "M10"])
def test_spring_rate_and_fit(size: str) -> None:
    """EN 13906-1: R = G d^4 / (8 D^3 n); G = 79 300 MPa is the common figure for spring wire."""
    row = compression_spring(size)
    mean = row.inner_diameter + row.wire_diameter
    rate = 79300 * row.wire_diameter**4 / (8 * mean**3 * row.active_coils)
    assert row.rate == pytest.approx(rate, rel=0.005)
    assert row.solid_length == pytest.approx(row.total_coils * row.wire_diameter)
    assert row.outer_diameter == pytest.approx(mean + row.wire_diameter)
    assert row.inner_diameter > thread(size).major_diameter
    assert row.reliability == "assumed"
    force = row.rate * (row.free_length - row.solid_length)
    stress = 8 * force * mean / (math.pi * row.wire_diameter**3)
    assert stress < 1000, "squeezed solid, music wire stays below half its strength (memory)"
