"""Screw threads and the strength of bolts: sizes, stress areas, property classes, proof loads."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from jigs.errors import TableError
from jigs.tables._load import Table
from jigs.units import MM_PER_INCH

STRESS_DIAMETER_FACTOR = {"ISO metric coarse": 0.938194, "UNC": 0.9743}
"""d less this x pitch is the stress diameter: ISO 898-1 (d2 + d3)/2, ASME B1.1 D - 0.9743/n."""

PITCH_DIAMETER_FACTOR = 0.649519
"""d2 = d - 0.649519 P: ISO 724, the same profile in ASME B1.1."""

_DESIGNATION = re.compile(
    r"""(?P<size> m\s?\d+(?:\.\d+)? | \d+/\d+ ) \s* (?:"|in|inch)? \s*
        (?: (?:x\s*(?P<pitch>\d+(?:\.\d+)?)) | (?:-\s*(?P<per_inch>\d+)\s*(?:unc)?) )?""",
    re.VERBOSE,
)
_SAME_PITCH = 1e-6


@dataclass(frozen=True)
class Thread:
    """A coarse thread. Lengths in mm, area in mm2; core_diameter is the bolt's (d3)."""

    size: str
    series: str
    major_diameter: float
    pitch: float
    tensile_stress_area: float
    core_diameter: float
    tapping_drill: float
    source: str
    reliability: str

    @property
    def pitch_diameter(self) -> float:
        """d2 in mm. Source: ISO 724."""
        return self.major_diameter - PITCH_DIAMETER_FACTOR * self.pitch

    @property
    def stress_area_by_formula(self) -> float:
        """pi/4 x stress diameter squared, in mm2; the tabulated area is this one, rounded.

        Source: ISO 898-1 (metric), ASME B1.1 (inch).
        """
        diameter = self.major_diameter - STRESS_DIAMETER_FACTOR[self.series] * self.pitch
        return math.pi / 4 * diameter**2

    @property
    def is_inch(self) -> bool:
        """True for a UNC thread."""
        return self.series == "UNC"


@dataclass(frozen=True)
class PropertyClass:
    """Strength of a bolt between two diameters (the upper one included). mm and MPa."""

    name: str
    also: tuple[str, ...]
    above_diameter: float
    up_to_diameter: float
    proof_stress: float
    yield_strength: float
    tensile_strength: float
    source: str
    reliability: str


THREADS = Table("thread sizes", Thread, ("threads.csv", "threads_inch.csv"), lambda row: row.size)
PROPERTY_CLASSES = Table(
    "property classes",
    PropertyClass,
    ("property_classes.csv", "property_classes_inch.csv"),
    lambda row: row.name,
    lambda row: row.also,
)


def size_name(asked: str) -> str:
    """Return the plain name of a size: `m8`, `M8x1.25` -> `M8`; `1/4"`, `1/4-20 UNC` -> `1/4`.

    Raises: TableError for another pitch than the coarse one (`M8x1`). A text that is no thread
    at all is given back as it stands, so that the table asked can say what it has.
    """
    match = _DESIGNATION.fullmatch(" ".join(asked.lower().split()))
    if match is None:
        return asked
    size = match["size"].replace(" ", "").upper()
    if match["pitch"] or match["per_inch"]:
        thread_found = THREADS.find(size)
        if not _is_pitch_of(thread_found, match["pitch"], match["per_inch"]):
            raise TableError(THREADS.name, asked, [designation(row) for row in THREADS.rows])
    return size


def designation(row: Thread) -> str:
    """Return the full name of a thread: `M8x1.25`, `1/4-20 UNC`."""
    if row.is_inch:
        per_inch = round(MM_PER_INCH / row.pitch)
        return f"{row.size}-{per_inch} UNC"
    return f"{row.size}x{row.pitch:g}"


def thread(size: str) -> Thread:
    """Return the coarse thread of a size.

    Parameters: size = `M8`, `M8x1.25`, `1/4`, `1/4-20`.
    Returns: lengths in mm. Raises: TableError. Source: see each row.
    """
    return THREADS.find(size_name(size))


def property_class(name: str, diameter: float) -> PropertyClass:
    """Return the strength of a bolt of this class and diameter.

    Parameters: name = `8.8`, `grade 5`; diameter = major diameter in mm.
    Raises: TableError, also for a diameter that the class does not cover.
    Source: ISO 898-1 (8.8: 580 MPa to 16 mm, 600 above), SAE J429.
    """
    first = PROPERTY_CLASSES.find(name)
    same = [row for row in PROPERTY_CLASSES.rows if row.name == first.name]
    for row in same:
        if row.above_diameter < diameter <= row.up_to_diameter:
            return row
    covered = [f"{row.above_diameter:g} to {row.up_to_diameter:g} mm" for row in same]
    raise TableError(f"property class {first.name}", f"{diameter:g} mm", covered)


def proof_load(size: str, class_name: str) -> float:
    """Return proof stress x tabulated stress area of a bolt, in N.

    Raises: TableError. Source: ISO 898-1, SAE J429.
    """
    row = thread(size)
    return property_class(class_name, row.major_diameter).proof_stress * row.tensile_stress_area


def _is_pitch_of(row: Thread, pitch: str | None, per_inch: str | None) -> bool:
    if pitch:
        return not row.is_inch and abs(float(pitch) - row.pitch) < _SAME_PITCH
    return row.is_inch and abs(MM_PER_INCH / float(per_inch or 1) - row.pitch) < _SAME_PITCH
