"""Socket screws, inch T-slot bolts and inserts, T-slot nuts and sold lengths: second tables."""

from __future__ import annotations

import pytest

from jigs.errors import TableError
from jigs.tables import (
    coach_bolt,
    hex_bolt,
    socket_screw,
    sold_lengths,
    sold_sizes,
    t_slot_bolt,
    t_slot_bolts,
    t_slot_nut,
    thread,
    wood_insert,
)

INCH = 25.4


@pytest.mark.parametrize(
    ("size", "head", "height", "socket", "depth", "thread_length"),
    [  # ISO 4762, shaise/FreeCAD_FastenersWB FsData/iso4762def.csv (its s_mean rounded down)
        ("M4", 7.0, 4.0, 3, 2.0, 20),
        ("M5", 8.5, 5.0, 4, 2.5, 22),
        ("M6", 10.0, 6.0, 5, 3.0, 24),
        ("M8", 13.0, 8.0, 6, 4.0, 28),
        ("M10", 16.0, 10.0, 8, 5.0, 32),
        ("M12", 18.0, 12.0, 10, 6.0, 36),
        ("M16", 24.0, 16.0, 14, 8.0, 44),
    ],
)
def test_socket_screw(
    size: str, head: float, height: float, socket: float, depth: float, thread_length: float
) -> None:
    row = socket_screw(size)
    assert (row.head_diameter, row.head_height) == (head, height)
    assert (row.socket_size, row.socket_depth) == (socket, depth)
    assert row.thread_length(300) == thread_length == 2 * float(size[1:]) + 12  # ISO 888
    assert row.thread_length(thread_length - 1) == thread_length - 1


@pytest.mark.parametrize(
    ("size", "over_knurl"),
    [  # PyPI bd-warehouse 0.4.0 prints these under iso4762:dk: another known trap
        ("M4", 7.22),
        ("M5", 8.72),
        ("M6", 10.22),
        ("M8", 13.27),
        ("M10", 16.27),
        ("M12", 18.27),
        ("M16", 24.33),
    ],
)
def test_knurled_head(size: str, over_knurl: float) -> None:
    row = socket_screw(size)
    assert row.head_diameter_knurled == over_knurl
    grade_13 = 0.22 if row.head_diameter <= 10 else 0.27 if row.head_diameter <= 18 else 0.33
    assert over_knurl - row.head_diameter == pytest.approx(grade_13)  # IT13, ISO 286-1 Table 1


THREAD_LENGTH_DISAGREEMENTS = {"5/16", "3/8", "1/2", "5/8"}
"""That file prints 4 D for every size; ASME B18.3 has 2 D + 1/2 in (memory), equal at 1/4."""


@pytest.mark.parametrize(
    ("size", "head", "height", "height_min", "socket", "depth", "thread_printed"),
    [  # ASME B18.3: fastenrsc.com (heads), FreeCAD_FastenersWB asmeb18.3.1adef.csv (rest); inches
        ("1/4", 0.375, 0.250, 0.244, 0.188, 0.120, 1.00),
        ("5/16", 0.469, 0.312, 0.306, 0.250, 0.151, 1.25),
        ("3/8", 0.562, 0.375, 0.368, 0.312, 0.182, 1.50),
        ("1/2", 0.750, 0.500, 0.492, 0.375, 0.245, 2.00),
        ("5/8", 0.938, 0.625, 0.616, 0.500, 0.307, 2.50),
    ],
)
def test_inch_socket_screw(
    size: str,
    head: float,
    height: float,
    height_min: float,
    socket: float,
    depth: float,
    thread_printed: float,
) -> None:
    row = socket_screw(size)
    assert row.head_diameter == row.head_diameter_knurled == pytest.approx(head * INCH)
    assert height_min * INCH < row.head_height == pytest.approx(height * INCH)
    assert row.socket_size == pytest.approx(socket * INCH, abs=0.0006 * INCH)
    assert row.socket_depth == pytest.approx(depth * INCH)
    agrees = row.thread_length(300) == pytest.approx(thread_printed * INCH)
    assert agrees is (size not in THREAD_LENGTH_DISAGREEMENTS)
    numerator, denominator = size.split("/")
    rule = 2 * int(numerator) / int(denominator) + 0.5
    assert row.thread_length(300) == pytest.approx(rule * INCH)


@pytest.mark.parametrize(
    ("size", "part_thread_above"),
    [  # shortest part-thread hex cap screw, bolt.pearland411.com ?p=4158, inches
        ("1/4", 1.25),
        ("5/16", 1.3125),
        ("3/8", 1.5),
        ("1/2", 1.875),
    ],
)
def test_thread_length_of_a_bolt_can_be_asked(size: str, part_thread_above: float) -> None:
    """A bolt from that length on has a plain shank; below it the thread reaches the head."""
    row = hex_bolt(size)
    assert row.thread_length(part_thread_above * INCH) < part_thread_above * INCH
    assert row.thread_length(0.7 * INCH) == 0.7 * INCH
    assert sold_lengths("hex bolt", size)[0] > row.thread_length_short


@pytest.mark.parametrize(
    ("size", "head", "height"),
    [  # ISO 8677, aftfasteners.com metric carriage bolts: (largest, smallest)
        ("M5", (13, 11.9), (3.1, 2.5)),
        ("M6", (16, 14.9), (3.6, 3)),
        ("M8", (20, 18.7), (4.8, 4)),
        ("M10", (24, 22.7), (5.8, 5)),
        ("M12", (30, 28.7), (6.8, 6)),
        ("M16", (38, 36.4), (8.9, 8)),
    ],
)
def test_coach_bolt_within_the_limits_of_iso_8677(
    size: str, head: tuple[float, float], height: tuple[float, float]
) -> None:
    """A third table: its limits are other ones, but ours lies in them (24 and 38, not 25, 40)."""
    row = coach_bolt(size)
    assert head[1] <= row.head_diameter <= head[0]
    assert height[1] <= row.head_height <= height[0]


@pytest.mark.parametrize(
    ("throat", "size", "foot_width", "foot_height", "height"),
    [  # DIN 508, shaise/FreeCAD_FastenersWB FsData/din508def.csv: a, e, k, h
        (5, "M4", 9, 3, 6.5),
        (6, "M5", 10, 4, 8),
        (8, "M6", 13, 6, 10),
        (10, "M8", 15, 6, 12),
        (12, "M10", 18, 7, 14),
        (14, "M12", 22, 8, 16),
        (18, "M16", 28, 10, 20),
        (22, "M20", 35, 14, 28),
    ],
)
def test_t_slot_nut(
    throat: float, size: str, foot_width: float, foot_height: float, height: float
) -> None:
    row = t_slot_nut(throat)
    assert (row.thread, row.foot_width, row.foot_height) == (size, foot_width, foot_height)
    assert row.height == height


@pytest.mark.parametrize(
    ("throat", "size", "slot_width_min", "slot_depth_min", "corners"),
    [  # ASME B5.1M-1985, inches: the slot's headspace B2, C1 (dimension table for T-slots) and
        # the head's largest width across corners (standard T-bolts), both engineersedge.com
        (9 / 32 * INCH, "1/4", 0.500, 0.203, 0.663),
        (11 / 32 * INCH, "5/16", 0.594, 0.234, 0.796),
        (7 / 16 * INCH, "3/8", 0.719, 0.297, 0.972),
        (9 / 16 * INCH, "1/2", 0.906, 0.359, 1.238),
    ],
)
def test_inch_t_slot_bolt_goes_into_its_slot(
    throat: float, size: str, slot_width_min: float, slot_depth_min: float, corners: float
) -> None:
    row = t_slot_bolt(throat)
    assert row.thread == size
    assert thread(size).major_diameter < throat < row.head_width_min
    assert row.head_width == pytest.approx((slot_width_min - 1 / 32) * INCH, abs=0.001 * INCH)
    assert row.head_width * 2**0.5 == pytest.approx(corners * INCH, abs=0.0015 * INCH)
    assert row.head_height == pytest.approx((slot_depth_min - 3 / 64) * INCH, abs=0.001 * INCH)


def test_t_slot_bolts_can_be_chosen_from() -> None:
    assert [row.thread for row in t_slot_bolts("inch")] == ["1/4", "5/16", "3/8", "1/2"]
    metric = t_slot_bolts("metric")
    assert [row.thread for row in metric] == ["M4", "M5", "M6", "M8", "M10", "M12", "M16", "M20"]
    goes_in = [row for row in metric if row.head_width < 16.5 and row.head_height < 7.5]
    assert goes_in[-1].thread == "M8"  # a slot 16.5 wide and 7.5 deep inside, of no standard
    with pytest.raises(TableError, match="metric, inch"):
        t_slot_bolts("whitworth")  # type: ignore[arg-type]


@pytest.mark.parametrize(("throat", "other_series"), [(8, 9 / 32), (12, 7 / 16), (14, 9 / 16)])
def test_a_series_of_bolts_is_made_for_its_own_slots(throat: float, other_series: float) -> None:
    """An exact throat finds its own series only: 8 mm is not 9/32 in (7.14)."""
    assert t_slot_bolt(throat).series == "metric"
    assert t_slot_bolt(other_series * INCH).series == "inch"


@pytest.mark.parametrize(
    ("size", "softwood", "hardwood"),
    [  # holes for brass inserts, a woodworking magazine's chart (stored with OCR faults; the 3/8
        # row is hardly readable), inches
        ("1/4", 3 / 8, 13 / 32),
        ("5/16", 1 / 2, 17 / 32),
        ("3/8", 1 / 2, 17 / 32),
    ],
)
def test_inch_wood_insert(size: str, softwood: float, hardwood: float) -> None:
    row = wood_insert(size)
    assert row.hole_diameter == pytest.approx(softwood * INCH)
    assert row.hole_diameter < hardwood * INCH < row.outer_diameter
    assert thread(size).major_diameter < row.hole_diameter < row.outer_diameter
    assert row.length >= 1.5 * thread(size).major_diameter  # common practice, no source
    assert row.reliability == "common practice"
    assert "measure yours" in row.source


R10 = {16, 20, 25, 32, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315}
"""ISO 3 preferred numbers, series R10 rounded (32 for 31.5); DIN 787 lengths follow it (memory)."""


@pytest.mark.parametrize("size", ["M6", "M8", "M10", "M12", "M16", "M20"])
def test_t_slot_bolts_are_sold_in_preferred_numbers(size: str) -> None:
    assert set(sold_lengths("T-slot bolt", size)) <= R10


@pytest.mark.parametrize("size", ["M4", "M5", "M6", "M8", "M10", "M12", "M16"])
def test_metric_rod_is_sold_by_the_metre(size: str) -> None:
    """DIN 975: 1000 mm, the length that its mass table is for."""
    assert sold_lengths("threaded rod", size) == (1000,)


@pytest.mark.parametrize("size", ["1/4", "5/16", "3/8", "1/2"])
def test_inch_rod_is_sold_by_the_yard(size: str) -> None:
    """Common practice, no source."""
    assert sold_lengths("threaded rod", size) == pytest.approx((36 * INCH,))


INCH_STEPS = {  # PyPI bd-warehouse 0.4.0 nominal_screw_lengths.csv, row asme_b18.3, from 3/4 in
    *(0.75, 0.88, 1, 1.25, 1.5, 1.75, 2, 2.25, 2.5, 2.75, 3, 3.25, 3.5, 3.75, 4, 4.25, 4.5),
    *(4.75, 5, 5.25, 5.5, 5.75, 6, 7, 8, 9, 10, 11, 12),
    *(0.5, 0.62),  # memory: 1/2 and 5/8 in are sold too
}


@pytest.mark.parametrize(
    ("family", "size"),
    [
        (family, size)
        for family, sizes in {
            "hex bolt": ("1/4", "5/16", "3/8", "1/2"),
            "hex screw": ("1/4", "5/16", "3/8", "1/2"),
            "socket screw": ("1/4", "5/16", "3/8", "1/2", "5/8"),
            "coach bolt": ("1/4", "5/16", "3/8", "1/2"),
            "T-slot bolt": ("1/4", "5/16", "3/8", "1/2"),
        }.items()
        for size in sizes
    ],
)
def test_inch_lengths_are_usual_steps(family: str, size: str) -> None:
    for length in sold_lengths(family, size):
        assert min(abs(length / INCH - step) for step in INCH_STEPS) < 0.006


def test_sizes_sold() -> None:
    assert sold_sizes("Threaded rod")[:3] == ("M4", "M5", "M6")
    assert sold_sizes("T-slot bolt")[-4:] == ("1/4", "5/16", "3/8", "1/2")
    with pytest.raises(TableError, match="did you mean 'coach bolt'"):
        sold_sizes("coach bolts")


@pytest.mark.parametrize(
    ("size", "goes_over"),
    [("M4", "M5"), ("M8", "M10"), ("M10", "M12"), ("1/4", "5/16"), ("3/8", "1/2")],
)
def test_socket_screws_grow_with_the_size(size: str, goes_over: str) -> None:
    small, large = socket_screw(size), socket_screw(goes_over)
    for field in ("head_diameter", "head_height", "socket_size", "socket_depth"):
        assert getattr(small, field) < getattr(large, field)
