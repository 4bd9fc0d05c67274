"""Washers and clearance holes against a second published table, row by row; masses in steel."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from jigs.tables import clearance_hole, hex_bolt, thread, washer

METRIC = ("M4", "M5", "M6", "M8", "M10", "M12", "M16")
INCH = ("1/4", "5/16", "3/8", "1/2")
STEEL = 7.85e-3  # g/mm3, the density that mass tables of fasteners print


@pytest.mark.parametrize(
    ("size", "hole", "outer", "thickness", "grams"),
    [  # DIN 125 (= ISO 7089): ajaxboltco.com/8/Washer/2, mass per piece
        ("M5", 5.3, 10, 1.0, 0.443),
        ("M6", 6.4, 12, 1.6, 1.02),
        ("M8", 8.4, 16, 1.6, 1.83),
        ("M10", 10.5, 20, 2.0, 3.57),
        ("M12", 13.0, 24, 2.5, 6.27),
        ("M16", 17.0, 30, 3.0, 11.3),
    ],
)
def test_normal_washer_and_its_mass(
    size: str, hole: float, outer: float, thickness: float, grams: float
) -> None:
    """0.5 %: three figures of print. The mass betrays a largest thickness taken for nominal."""
    row = washer(size)
    assert (row.hole_diameter, row.outer_diameter, row.thickness) == (hole, outer, thickness)
    area = math.pi / 4 * (row.outer_diameter**2 - row.hole_diameter**2)
    assert area * row.thickness * STEEL == pytest.approx(grams, rel=0.005)


@pytest.mark.parametrize(
    ("size", "series", "hole", "outer", "thickness_max"),
    [  # PyPI bd-warehouse 0.4.0 plain_washer_parameters.csv (its h is the largest)
        ("M4", "normal", 4.3, 9, 0.9),
        ("M5", "normal", 5.3, 10, 1.1),
        ("M6", "normal", 6.4, 12, 1.8),
        ("M8", "normal", 8.4, 16, 1.8),
        ("M10", "normal", 10.5, 20, 2.2),
        ("M12", "normal", 13, 24, 2.7),
        ("M16", "normal", 17, 30, 3.3),
        ("M4", "large", 4.3, 12, 1.1),
        ("M5", "large", 5.3, 15, 1.4),
        ("M6", "large", 6.4, 18, 1.8),
        ("M8", "large", 8.4, 24, 2.2),
        ("M10", "large", 10.5, 30, 2.7),
        ("M12", "large", 13, 37, 3.3),
        ("M16", "large", 17, 50, 3.3),
        ("M5", "extra large", 5.5, 18, 2.3),
        ("M6", "extra large", 6.6, 22, 2.3),
        ("M8", "extra large", 9, 28, 3.6),
        ("M10", "extra large", 11, 34, 3.6),
        ("M12", "extra large", 13.5, 44, 4.6),
        ("M16", "extra large", 17.5, 56, 6),
    ],
)
def test_washer(size: str, series: str, hole: float, outer: float, thickness_max: float) -> None:
    row = washer(size, series)
    assert (row.hole_diameter, row.outer_diameter) == (hole, outer)
    assert row.thickness_max == thickness_max
    assert thickness_max - 1.0 <= row.thickness < thickness_max


@pytest.mark.parametrize(
    ("size", "series", "hole", "outer", "thickness", "thickness_max"),
    [  # ASME B18.21.1: type A as in a bolt maker's page and in Machinery's Handbook, 31st ed.,
        # p. 1694; type B wide as in shaise/FreeCAD_FastenersWB asmeb18.21.1.12cdef.csv (basic
        # sizes) and, for the largest thickness, Machinery's Handbook p. 1697; inches
        ("1/4", "normal", 0.281, 0.625, 0.065, 0.080),
        ("5/16", "normal", 0.344, 0.688, 0.065, 0.080),
        ("3/8", "normal", 0.406, 0.812, 0.065, 0.080),
        ("1/2", "normal", 0.531, 1.062, 0.095, 0.121),
        ("1/4", "large", 0.312, 0.734, 0.065, 0.080),
        ("5/16", "large", 0.375, 0.875, 0.083, 0.104),
        ("3/8", "large", 0.438, 1.000, 0.083, 0.104),
        ("1/2", "large", 0.562, 1.375, 0.109, 0.132),
        ("1/4", "extra large", 0.281, 1.000, 0.063, 0.071),
        ("5/16", "extra large", 0.344, 1.125, 0.063, 0.071),
        ("3/8", "extra large", 0.406, 1.250, 0.100, 0.112),
        ("1/2", "extra large", 0.531, 1.750, 0.100, 0.112),
    ],
)
def test_inch_washer(
    size: str, series: str, hole: float, outer: float, thickness: float, thickness_max: float
) -> None:
    row = washer(size, series)
    assert row.hole_diameter == pytest.approx(hole * 25.4)
    assert row.outer_diameter == pytest.approx(outer * 25.4)
    assert row.thickness == pytest.approx(thickness * 25.4)
    assert row.thickness_max == pytest.approx(thickness_max * 25.4)


@pytest.mark.parametrize(
    ("series", "thicknesses"),
    [  # DIN 9021 and DIN 440 from memory: the older standards print the nominal thickness only
        ("large", {"M4": 1, "M5": 1.2, "M6": 1.6, "M8": 2, "M10": 2.5, "M12": 3, "M16": 3}),
        ("extra large", {"M5": 2, "M6": 2, "M8": 3, "M10": 3, "M12": 4, "M16": 5}),
    ],
)
def test_nominal_thickness_of_wide_washers(series: str, thicknesses: dict[str, float]) -> None:
    assert {size: washer(size, series).thickness for size in thicknesses} == thicknesses


@pytest.mark.parametrize("size", METRIC + INCH)
def test_a_wider_series_is_wider(size: str) -> None:
    series = ("normal", "large") if size == "M4" else ("normal", "large", "extra large")
    rows = [washer(size, name) for name in series]
    for small, large in pairwise(rows):
        assert small.outer_diameter < large.outer_diameter
    for row in rows:
        assert thread(size).major_diameter < row.hole_diameter < row.outer_diameter
    assert hex_bolt(size).across_flats < rows[-1].outer_diameter


HOLE_DISAGREEMENTS = {
    ("M12", "hole_medium"): "14 is after ASME B18.2.8; ISO 273 has 13.5",
    ("M12", "hole_coarse"): "15 is after ASME B18.2.8; ISO 273 has 14.5",
    ("M16", "hole_medium"): "18 is after ASME B18.2.8; ISO 273 has 17.5",
    ("M16", "hole_coarse"): "19 is after ASME B18.2.8; ISO 273 has 18.5",
}


@pytest.mark.parametrize(
    ("size", "fine", "medium", "coarse"),
    [  # PyPI bd-warehouse 0.4.0 clearance_hole_sizes.csv: Close, Normal, Loose
        ("M4", 4.3, 4.5, 4.8),
        ("M5", 5.3, 5.5, 5.8),
        ("M6", 6.4, 6.6, 7.0),
        ("M8", 8.4, 9.0, 10.0),
        ("M10", 10.5, 11.0, 12.0),
        ("M12", 13.0, 14.0, 15.0),
        ("M16", 17.0, 18.0, 19.0),
    ],
)
def test_clearance_hole(size: str, fine: float, medium: float, coarse: float) -> None:
    row = clearance_hole(size)
    for name, printed in (("hole_fine", fine), ("hole_medium", medium), ("hole_coarse", coarse)):
        agrees = getattr(row, name) == printed
        assert agrees is ((size, name) not in HOLE_DISAGREEMENTS)


@pytest.mark.parametrize("size", METRIC)
def test_washer_holes_are_clearance_holes(size: str) -> None:
    """ISO 887: grade A washers have the fine hole of ISO 273, grade C washers the medium one.

    This settles M12 and M16 without a print of ISO 273 (13.5 and 17.5).
    """
    assert washer(size, "normal").hole_diameter == clearance_hole(size).hole_fine
    if size != "M4":
        assert washer(size, "extra large").hole_diameter == clearance_hole(size).hole_medium


@pytest.mark.parametrize(
    ("size", "close", "normal", "loose"),
    [  # Machinery's Handbook, 31st ed., p. 1743, Table 3a: metric drills for inch fasteners
        ("1/4", 6.7, 7.1, 7.5),
        ("5/16", 8.3, 8.7, 9.1),
        ("3/8", 9.9, 10.2, 10.5),
        ("1/2", 13.5, 14.25, 15.5),
        ("5/8", 16.75, 17.5, 19.0),
    ],
)
def test_inch_clearance_hole(size: str, close: float, normal: float, loose: float) -> None:
    """0.36 mm: the nearest drill sold, not the hole itself."""
    row = clearance_hole(size)
    assert row.hole_fine == pytest.approx(close, abs=0.1)
    assert row.hole_medium == pytest.approx(normal, abs=0.15)
    assert row.hole_coarse == pytest.approx(loose, abs=0.36)
