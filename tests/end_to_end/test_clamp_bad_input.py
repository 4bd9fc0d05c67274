"""Jobs for which no end-grain clamp can be made, through the real command line.

One message that names the number and what would do; exit code 2. And what it says would do, does.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from click.testing import CliRunner

from jigs.cli import main

MACHINE = (Path(__file__).parents[2] / "configs/machines/bench_router.yaml").read_text("utf-8")
SLOTS_AT = "[60, 120, 180, 240, 300, 360, 420, 480, 540]"
PROFILE = "profile: {mouth: 10.2, lip: 9, wide: 17, room: 7.5}\n\nfront_face"
FIXING = MACHINE[MACHINE.index("    anchors: slots\n    along: y") : MACHINE.index("\nfront_face")]
JOB = """
job: marker posts
machine: machine.yaml
pieces:
  post: {shape: bar, wood: larch, width: 38 ± 0.5, depth: 38 ± 0.5, length: 140 ± 0.5}
sheets:
  ply: {material: birch plywood, nominal: 18, measured: 17.6 ± 0.2}
cuts:
  label slot: {does: slot, cutter: straight 6, depth: 20, direction: y, stick_out: 38}
jigs:
  clamp: {kind: end_grain_clamp}
setups:
  slotting: {piece: post, at: table, jigs: [clamp], cut: label slot}
"""
CLAMP = "{kind: end_grain_clamp}"
Edits = Sequence[tuple[str, str]]


def edited(text: str, edits: Edits) -> str:
    """The text with every edit made; each must hit exactly one place."""
    for old, new in edits:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in the example"
        text = text.replace(old, new)
    return text


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def said(command: str = "check", job: Edits = (), machine: Edits = (), more: str = "") -> tuple:
    """Exit code, and what the command says: on stderr where it refuses, else on stdout."""
    Path("job.yaml").write_text(edited(JOB, job) + more, encoding="utf-8")
    Path("machine.yaml").write_text(edited(MACHINE, machine), encoding="utf-8")
    result = CliRunner().invoke(main, [command, "job.yaml"])
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert "Traceback" not in result.output
    return result.exit_code, " ".join((result.stderr or result.stdout).split())


def refused(**given) -> str:
    """What a check says that must refuse, and leaves nothing behind."""
    code, message = said(**given)
    assert code == 2, message
    assert {path.name for path in Path.cwd().iterdir()} == {"job.yaml", "machine.yaml"}
    return message


def length(text: str) -> Edits:
    return [("length: 140 ± 0.5", f"length: {text}")]


def slots_at(text: str) -> Edits:
    return [(SLOTS_AT, text)]


def profile(text: str) -> Edits:
    return [(PROFILE, f"profile: {{{text}}}\n\nfront_face")]


def shelf(text: str) -> str:
    return f"shelf: {{{text}}}\n"


ALONG_X = ("along: y", "along: x")


@pytest.mark.parametrize(
    ("given", "says", "would_do"),
    [
        pytest.param(
            {"more": shelf("threaded rod: {M12: [1000]}")},
            ["clamp.drawbolt_size: no rod of M8 or M6 is on the shelf",
             "threaded rod: {M6: [1000]} on the shelf"],
            {"more": shelf("threaded rod: {M6: [1000]}")}, id="no rod of the right size",
        ),
        pytest.param(
            # 117.9: worked by hand in test_end_grain_clamp_numbers.py
            {"more": shelf("threaded rod: {M8: [100]}")},
            ["clamp.drawbolt_length: 117.9 mm or longer is needed; on the shelf: 100 mm",
             "a threaded rod M8 of 1000 mm (sold)"],
            {"more": shelf("threaded rod: {M8: [118]}")}, id="rod too short",
        ),
        pytest.param(
            {"more": shelf("coach bolt: {M8: [60]}")},
            ["clamp.fence_bolt_size: no coach bolt of M6 or M5 is on the shelf",
             "coach bolt: {M6: [50]} on the shelf"],
            {"more": shelf("coach bolt: {M6: [50]}")}, id="no coach bolt",
        ),
        pytest.param(
            # fence 17.8 less 4.5 sunk, face 17.8, washer 1.6, nut 5.2, two threads of 1: 39.9
            {"more": shelf("coach bolt: {M6: [30]}")},
            ["clamp.fence_bolt_length: 39.9 mm or longer", "a coach bolt M6 of 40 mm (sold)"],
            {"more": shelf("coach bolt: {M6: [30, 40]}")}, id="coach bolt too short",
        ),
        pytest.param(
            # lip 9, base 17.8, washer 2, knob 25, two threads of 1.25: 56.3; sold: 63
            {"more": shelf("T-slot bolt: {M8: [32, 50]}")},
            ["clamp.hold_length: 56.3 mm or longer", "32, 50 mm", "T-slot bolt M8 of 63 mm (sold)"],
            {"more": shelf("T-slot bolt: {M8: [32, 40, 63]}")}, id="T-slot bolt too short",
        ),
        pytest.param(
            {"more": shelf("clevis pin: {M6: [30]}")},
            ["job.yaml:", "shelf.clevis pin: not one of the choices",
             "hex bolt, hex screw, coach bolt, socket screw, T-slot bolt, threaded rod"],
            {}, id="a family that nobody knows",
        ),
        pytest.param(
            # reach 128 on both sides and the opening of 41.5: 297.5
            {"machine": slots_at("[180, 240, 300]")},
            ["clamp.place_u: two anchors 297.5 mm or more apart", "the furthest are 120 mm apart",
             "slots or holes 297.5 mm apart, or the jig turned (fixed_side)"],
            {"machine": slots_at("[151, 300, 449]")}, id="slots too near each other",
        ),
        pytest.param(
            {"machine": slots_at("[300]")},
            ["clamp.place_u: two anchors 297.5 mm or more apart", "the furthest are 0 mm apart"],
            {"machine": slots_at("[140, 300, 460]")}, id="one slot",
        ),
        pytest.param(
            # along y 38.5 + 40
            {"machine": [ALONG_X, *slots_at("[140, 200]")]},
            ["clamp.place_v: two anchors", "the furthest are 60 mm apart"],
            {"machine": [ALONG_X, *slots_at("[140, 219]")]}, id="slots along x too near",
        ),
        pytest.param(
            # fence's top 69.5 - 20 - 5 = 44.5; M5 (washer 15, sunk slot 14.5), from
            # 17.8 + 7.5 + 4 = 29.5 (up to 0.5) to 44.5 - 7.25 - 6 = 31 (down to 0.5), and they
            # want to be 15 + 3 apart: 16.5 are lacking
            {"job": length("70 ± 0.5")},
            ["clamp.fence_bolts_z", "fence's top at 44.5 mm", "pieces 17 mm longer"],
            {"job": length("87 ± 0.5")}, id="piece too short",
        ),
        pytest.param(
            {"job": [("depth: 20,", "depth: 100,")]},
            ["clamp.fence_bolts_z", "fence's top at 34.5 mm",
             "a cut or a piece that leaves 27 mm more"],
            {"job": [("depth: 20,", "depth: 73,")]}, id="cut too deep",
        ),
        pytest.param(
            {"machine": profile("mouth: 4.5, lip: 9, wide: 17, room: 7.5")},
            ["clamp.hold_by: neither a T-slot bolt nor a T-slot nut goes into a slot 4.5 wide",
             "of 5 mm or more T-slot nuts (DIN 508)"],
            {"machine": profile("mouth: 5, lip: 9, wide: 17, room: 7.5")}, id="slot too narrow",
        ),
        pytest.param(
            {"machine": profile("mouth: 10.2, lip: 9, wide: 17, room: 2")},
            ["clamp.hold_by: neither", "17 by 2 below", "measure mouth, lip, wide and room again"],
            {"machine": profile("mouth: 10.2, lip: 9, wide: 17, room: 6.1")}, id="slot too low",
        ),
        pytest.param(
            # DIN 7965: M5 is 12 long
            {"machine": [(FIXING, "    {anchors: spoilboard, thickness: 10}\n")]},
            ["clamp.hold_size: no insert goes into a board 10 mm deep",
             "a spoilboard of 12 mm or more, for M5"],
            {"machine": [(FIXING, "    {anchors: spoilboard, thickness: 12}\n")]},
            id="board too thin",
        ),
        pytest.param(
            # only M16 goes through so wide a mouth and bears, and no hand turns that
            {"machine": profile("mouth: 18.2, lip: 9, wide: 32, room: 12")},
            ["clamp.hold_by: neither", "18.2 wide with a lip of 9", "T-slot bolts"],
            {}, id="slot too wide",
        ),
        pytest.param(
            {"job": [(", cut: label slot}", "}")]},
            ["clamp.", "the setup has no cut"],
            {}, id="no cut",
        ),
        pytest.param(
            {"machine": [(FIXING, "    {anchors: holes, thread: M7, pitch: 50, first: [25, 25], "
                                  "columns: 12, rows: 8}\n")]},
            ["clamp.hold_size: there is no knob for M7", "holes of M10, M8, M6"],
            {"machine": [(FIXING, "    {anchors: holes, thread: M8, pitch: 50, first: [25, 25], "
                                  "columns: 12, rows: 8}\n")]}, id="holes with a strange thread",
        ),
        pytest.param(
            {"job": [(CLAMP, "{kind: end_grain_clamp, fence_sheet: plank}")]},
            ["jigs.clamp.fence_sheet: there is no sheet 'plank'", "one of: ply"],
            {"job": [(CLAMP, "{kind: end_grain_clamp, fence_sheet: ply}")]}, id="unknown sheet",
        ),
        pytest.param(
            {"job": [("  ply: {material: birch plywood, nominal: 18, measured: 17.6 ± 0.2}\n", ""),
                     ("sheets:\n", "")]},
            ["jigs.clamp: is cut from sheet, and no sheet is listed", "sheets: {ply:"],
            {}, id="no sheet",
        ),
        pytest.param(
            {"job": [("at: table,", "at: front face,")]},
            ["setups.slotting.at", "no end_grain_clamp stands there", "at: table"],
            {}, id="on the front face",
        ),
        pytest.param(
            {"job": [("at: table,", "at: front face, y: 20,")]},
            ["setups.slotting.y: what hangs has its y from its jig", "leave y out"],
            {}, id="y on the front face",
        ),
        pytest.param(
            {"job": [(CLAMP, "{kind: end_grain_clamp, fixed_side: north}")]},
            ["jigs.clamp.fixed_side: not one of the choices", "left, right, front, back"],
            {"job": [(CLAMP, "{kind: end_grain_clamp, fixed_side: back}")]}, id="no such side",
        ),
        pytest.param(
            {"job": [(CLAMP, "{kind: end_grain_clamp, knob_made: steel}")]},
            ["jigs.clamp.knob_made: not one of the choices", "wood, print"],
            {"job": [(CLAMP, "{kind: end_grain_clamp, knob_made: print}")]}, id="knobs of steel",
        ),
        pytest.param(
            {"job": [(CLAMP, "{kind: end_grain_clamp, set: {ribs: 0}}")]},
            ["clamp.rib_at: 0 ribs hold no face up", "1 to 24 ribs"],
            {"job": [(CLAMP, "{kind: end_grain_clamp, set: {ribs: 1}}")]}, id="no ribs",
        ),
        pytest.param(
            {"job": [("shape: bar, wood: larch, width: 38 ± 0.5, depth: 38 ± 0.5, ",
                      "shape: turned, wood: larch, grip_diameter: 30 to 32, grip_from: 9, "
                      "grip_to: 60, dome: {rise: 4, width: 26}, below_grip: [[139, 28]], ")]},
            ["clamp.", "needs 'width_"],
            {}, id="a turned piece",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_made_is_refused_and_what_would_do_does(given, says, would_do) -> None:
    message = refused(**given)
    for words in says:
        assert words in message
    code, mended = said(**would_do)
    assert code in (0, 1), mended


def test_a_little_less_than_what_would_do_is_refused_too() -> None:
    """The numbers named are the least: 87 long and 298 apart do."""
    assert "pieces 1 mm longer" in refused(job=length("86 ± 0.5"))
    assert "297 mm apart" in refused(machine=slots_at("[151, 300, 448]"))
    assert "117.9 mm or longer" in refused(more=shelf("threaded rod: {M8: [117.5]}"))


@pytest.mark.parametrize(
    ("width", "may_drop"),
    [("9 ± 0.3", True), ("12.6 ± 0.5", True), ("12.7 ± 0.5", False)],  # mouth 10.2 and 2 mm
)
def test_a_piece_that_could_drop_into_a_slot_is_said(width: str, may_drop: bool) -> None:
    """Not refused: the clamp can be made; but the check is not met and names the width."""
    code, message = said(job=[("width: 38 ± 0.5", f"width: {width}")])
    assert code == 1
    told = "NOT MET: clamp: the piece is wider than a slot" in message
    assert told is may_drop
    assert ("from 12.2 mm up it cannot" in message) is may_drop


def test_build_refuses_as_check_does() -> None:
    given = {"machine": slots_at("[180, 240, 300]")}
    message = refused(**given)
    code, built = said("build", **given)
    assert code == 2
    assert message in built
    assert not Path("exports").exists()
