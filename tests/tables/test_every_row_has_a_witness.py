"""No row of a hardware table without an outside witness: a new row needs a new line in a test.

Read from the tests themselves: the sizes that each witnessing test is run with.
"""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

from jigs.tables import all_tables, register

HERE = Path(__file__).parent
TABLES = {
    table.name: table
    for module in vars(register).values()
    if getattr(module, "__name__", "").startswith("jigs.tables.")
    for table in vars(module).values()
    if type(table).__name__ == "Table"
}

NO_HARDWARE = {
    "property classes",
    "rubber hardness",
    "filled rubber",
    "friction pairs",
    "specific cutting forces",
}
"""Rubber, friction, cutting: formulas and bands in test_materials_against_tables and others."""

MATERIALS = "test_materials_against_tables.py"
BOLTS = "test_hardware_against_tables.py"
SLOTS = "test_lengths_and_slots.py"
HOLES = "test_washers_and_holes.py"
THREADS = "test_threads_against_tables.py"
INCH = "test_socket_screws_and_inch_hardware.py"

WITNESSES: dict[str, list[tuple[str, ...]]] = {
    "thread sizes": [
        (THREADS, "test_metric_profile"),
        (THREADS, "test_inch_root_area_is_below_ours"),
    ],
    "hex bolts": [(BOLTS, "test_hex_bolt"), (BOLTS, "test_inch_hex_bolt")],
    "socket screws": [(INCH, "test_socket_screw"), (INCH, "test_inch_socket_screw")],
    "coach bolts": [(BOLTS, "test_coach_bolt"), (BOLTS, "test_inch_coach_bolt")],
    "hex nuts": [(BOLTS, "test_hex_nut"), (BOLTS, "test_inch_hex_nut")],
    "washers": [(HOLES, "test_washer"), (HOLES, "test_inch_washer")],
    "clearance holes": [(HOLES, "test_clearance_hole"), (HOLES, "test_inch_clearance_hole")],
    "sold lengths": [
        (SLOTS, "test_range_of_the_standard"),
        (INCH, "test_inch_lengths_are_usual_steps"),
        (INCH, "test_t_slot_bolts_are_sold_in_preferred_numbers", "T-slot bolt {}"),
        (INCH, "test_metric_rod_is_sold_by_the_metre", "threaded rod {}"),
        (INCH, "test_inch_rod_is_sold_by_the_yard", "threaded rod {}"),
    ],
    "T-slots": [(SLOTS, "test_t_slot")],
    "T-slot nuts": [(INCH, "test_t_slot_nut")],
    "T-slot bolts": [
        (SLOTS, "test_t_slot_nut_foot_is_a_bolt_head"),
        (INCH, "test_inch_t_slot_bolt_goes_into_its_slot"),
    ],
    "wood inserts": [(SLOTS, "test_wood_insert_holds_its_thread"), (INCH, "test_inch_wood_insert")],
    "wood screws": [(SLOTS, "test_wood_screw")],
    "dowels": [(SLOTS, "test_dowel")],
    "woods": [(MATERIALS, "test_wood_in_metric_print"), (MATERIALS, "test_wood_in_inch_print")],
    "boards": [(MATERIALS, "test_board_in_its_usual_band")],
    "plastics": [(MATERIALS, "test_plastic_is_at_the_low_end_of_its_band")],
    "metals": [
        (MATERIALS, "test_aluminium_is_no_stronger_than_the_american_print"),
        (MATERIALS, "test_iron_and_steel"),
    ],
    "springs": [(SLOTS, "test_spring_rate_and_fit")],
}  # fmt: skip
"""Table -> (file, test[, how its argument is part of the row's name])."""

KEY_ARGUMENTS = ("throat", "diameter"), ("family", "size", "series"), ("name",)
"""Arguments that name a row: a width or diameter alone, or what else is there, in this order."""


def keys_of_test(file: str, test: str, form: str = "{}") -> set[str]:
    """Return the names of the rows that a parametrised test is run with."""
    [mark] = [
        mark
        for mark in vars(module_of(file))[test].pytestmark
        if mark.name == "parametrize" and key_positions(mark)
    ]
    cases = [case if len(names_of(mark)) > 1 else (case,) for case in mark.args[1]]
    return {form.format(" ".join(shown(case[i]) for i in key_positions(mark))) for case in cases}


def key_positions(mark: pytest.Mark) -> list[int]:
    names = names_of(mark)
    for group in KEY_ARGUMENTS:
        if positions := [names.index(name) for name in group if name in names]:
            return positions
    return []


def names_of(mark: pytest.Mark) -> list[str]:
    names = mark.args[0]
    return [names] if isinstance(names, str) else list(names)


def shown(value: object) -> str:
    return f"{value:g}" if isinstance(value, int | float) else str(value)


def module_of(file: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(f"witness_{Path(file).stem}", HERE / file)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_every_table_is_hardware_or_material() -> None:
    assert set(WITNESSES).isdisjoint(NO_HARDWARE)
    assert set(WITNESSES) | NO_HARDWARE == set(all_tables()) == set(TABLES)


@pytest.mark.parametrize("table", WITNESSES)
def test_every_row_has_a_witness(table: str) -> None:
    witnessed = set().union(*(keys_of_test(*witness) for witness in WITNESSES[table]))
    assert set(TABLES[table].keys) - witnessed == set(), "rows that no test looks at"
    assert witnessed - set(TABLES[table].keys) == set(), "a test looks at rows that are not there"


def test_a_row_without_a_witness_would_be_seen() -> None:
    witnessed = keys_of_test(BOLTS, "test_hex_bolt")
    assert "M8" in witnessed
    assert "1/4" not in witnessed, "the metric test alone does not cover the inch rows"
    assert keys_of_test(HOLES, "test_inch_washer") >= {"1/4 normal", "1/2 extra large"}
    assert "threaded rod M8" in keys_of_test(
        INCH, "test_metric_rod_is_sold_by_the_metre", "threaded rod {}"
    )
