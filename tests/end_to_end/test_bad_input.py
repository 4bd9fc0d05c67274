"""Bad input through the real command line: one clear message, exit code 2, nothing touched."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from jigs.cli import main
from jigs.manifest import check_name
from jigs.reading.names import usable_name
from jigs.units import ValueRefused

CONFIGS = Path(__file__).parents[2] / "configs"
JOB = (Path(__file__).parents[1] / "one_setup.yaml").read_text(encoding="utf-8")
MACHINE = (CONFIGS / "machines/bench_router.yaml").read_text(encoding="utf-8")
MACHINE_FILE = "machines/bench_router.yaml"
Edits = Sequence[tuple[str, str]]


def edited(text: str, edits: Edits) -> str:
    """The text with every edit made; each must hit exactly one place."""
    for old, new in edits:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in the example"
        text = text.replace(old, new)
    return text


def section(text: str, first: str, after: str) -> str:
    """What stands from one heading up to another."""
    return text[text.index(first) : text.index(after)]


def line_of(text: str, mark: str) -> int:
    """Number of the only line that holds the mark."""
    (line,) = [i for i, line in enumerate(text.splitlines(), start=1) if mark in line]
    return line


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the example job, its machine, and an export of some earlier build."""
    monkeypatch.chdir(tmp_path)
    Path("machines").mkdir()
    Path("job.yaml").write_text(JOB, encoding="utf-8")
    Path(MACHINE_FILE).write_text(MACHINE, encoding="utf-8")
    earlier = Path("exports/job/parts")
    earlier.mkdir(parents=True)
    (earlier.parent / "report.json").write_bytes(b'{"verdict": "met"}\n')
    (earlier / "shelf.stl").write_bytes(bytes(range(256)))
    return tmp_path


def everything_in(folder: Path) -> dict[str, bytes | None]:
    """Every path below a folder with its bytes; None for a folder."""
    return {str(path): path.read_bytes() if path.is_file() else None for path in folder.rglob("*")}


def refused(shop: Path, path: str = "job.yaml", command: str = "check") -> str:
    """Run a command that must refuse; its message, once nothing else is seen to have happened."""
    before = everything_in(shop)
    result: Result = CliRunner().invoke(main, [command, path])
    assert result.exit_code == 2, result.output
    assert isinstance(result.exception, SystemExit), repr(result.exception)
    assert "Traceback" not in result.output
    assert result.stdout == ""
    assert everything_in(shop) == before
    return result.stderr


@dataclass(frozen=True)
class Bad:
    """One mistake in the job or the machine file, and what the message must say of it."""

    id: str
    keys: str
    mark: str
    """Stands in the line that is to be named."""
    says: str
    found: str
    right: str
    job: Edits = ()
    machine: Edits = ()

    @property
    def file(self) -> str:
        return MACHINE_FILE if self.machine else "job.yaml"


RING = "    kind: split_ring\n"
GAUGE = "    kind: height_gauge\n"
SHEETS = section(JOB, "sheets:", "boards:")
OTHER = "  other: {piece: dibber, at: front face, jigs: [ring]}\n"


def in_ring(lines: str) -> Edits:
    return [(RING, f"{RING}    {lines}\n")]


BAD = [
    # keys that nobody knows
    Bad("unknown key, top level", "revison", "revison:", "did you mean 'revision'?", "revison",
        "job, revision, units", [("revision: A", "revison: A")]),
    Bad("unknown key, piece", "pieces.dibber.tapper", "tapper:", "did you mean 'taper'?",
        "tapper", "shape, wood", [("taper: 0.3", "tapper: 0.3")]),
    Bad("unknown key, jig", "jigs.ring.woood", "woood:", "did you mean 'wood'?", "woood",
        "wood, board, sheet, lining", in_ring("woood: ash")),
    Bad("unknown key, set", "jigs.ring.set.gapp", "gapp:", "did you mean 'gap'?", "gapp",
        "bore_clearance", in_ring("set: {gapp: 8}")),
    Bad("unknown key, built", "jigs.gauge.built.arch_radios", "arch_radios:",
        "did you mean 'arch_radius'?", "arch_radios", "crown_height",
        [(GAUGE, f"{GAUGE}    built: {{arch_radios: 60}}\n")]),
    Bad("unknown key, setup", "setups.marking.peice", "peice:", "did you mean 'piece'?", "peice",
        "piece, at", [("    piece: dibber", "    piece: dibber\n    peice: dibber")]),
    Bad("missing key", "pieces.dibber", "  dibber:", "the key 'length' is missing",
        "a mapping with shape", "length: 200 ± 1", [("    length: 230 ± 1\n", "")]),
    # values of the wrong kind
    Bad("word for a count", "pieces.dibber.count", "count:", "must be a whole number", "many",
        "without a unit", [("count: 24", "count: many")]),
    Bad("number for text", "job", "job:", "must be text", "3", '"3"',
        [("job: allotment dibbers", "job: 3")]),
    Bad("list for a length", "pieces.dibber.length", "length:", "is not a number", "a list of 2",
        "150 ± 0.5", [("length: 230 ± 1", "length: [229, 231]")]),
    Bad("list for a mapping", "jigs.ring.set", "set:", "must be a mapping", "a list of 1",
        "key: value", in_ring("set: [gap]")),
    Bad("nothing for a length", "jigs.ring.set.gap", "gap:", "nothing is not a number", "nothing",
        "38.5 mm", in_ring("set: {gap: }")),
    Bad("nothing for a jig", "jigs.ring", "  ring:", "must be a mapping", "nothing", "key: value",
        [(section(JOB, RING, "  gauge:"), "")]),
    Bad("wrong unit", "pieces.dibber.length", "length:", "'parsecs' is not a unit of length",
        "38 parsecs", "mm, cm, in", [("length: 230 ± 1", "length: 38 parsecs")]),
    Bad("decimal comma", "pieces.dibber.taper", "taper:", "the decimal sign is a point", "0,3",
        "0.3", [("taper: 0.3", "taper: 0,3")]),
    Bad("feet", "pieces.dibber.grip_to", "grip_to:", "'ft' is not a unit of length", "2 ft",
        "mm, cm, in", [("grip_to: 62", "grip_to: 2 ft")]),
    # values that no shop has
    Bad("least above most", "pieces.dibber.grip_diameter", "grip_diameter:",
        "the least (36 mm) is above the most (31.5 mm)", "36 to 31.5", "smaller number first",
        [("31.5 to 36", "36 to 31.5")]),
    Bad("zero", "linings.rubber.thickness", "rubber:", "must be above 0.0 mm", "0", "above 0.0 mm",
        [("thickness: 3,", "thickness: 0,")]),
    Bad("negative", "linings.rubber.thickness", "rubber:", "must be above 0.0 mm", "-3",
        "above 0.0 mm", [("thickness: 3,", "thickness: -3,")]),
    Bad("no pieces at all", "pieces.dibber.count", "count:", "must be at least 1", "0",
        "at least 1", [("count: 24", "count: 0")]),
    Bad("not a number", "pieces.dibber.taper", "taper:", "is not a size that can be made", ".nan",
        "38.5 mm", [("taper: 0.3", "taper: .nan")]),
    Bad("infinite", "pieces.dibber.grip_to", "grip_to:", "is not a size that can be made", ".inf",
        "38.5 mm", [("grip_to: 62", "grip_to: .inf")]),
    Bad("infinite, set", "jigs.ring.set.gap", "gap:", "is not a size that can be made", "-.inf",
        "38.5 mm", in_ring("set: {gap: -.inf}")),
    Bad("absurd", "pieces.dibber.grip_to", "grip_to:", "is not a size that can be made", "1e30",
        "38.5 mm", [("grip_to: 62", "grip_to: 1e30")]),
    Bad("longer than a workshop", "setups.marking.x", "x: 25 000", "must be at most 20000.0 mm",
        "25", "20000.0 mm",
        [("    at: front face", "    x: 25000 # x: 25 000\n    at: front face")]),
    Bad("grip on the dome", "pieces.dibber.grip_from", "grip_from:", "lies on the dome", "2",
        "at least 4", [("grip_from: 9 ", "grip_from: 2 ")]),
    Bad("dome above half a ball", "pieces.dibber.dome.rise", "dome:", "more than a half ball", "16",
        "at most 15 mm", [("rise: 4,", "rise: 16,")]),
    Bad("profile backwards", "pieces.dibber", "shape: turned", "must grow", "a mapping with",
        "62, 60", [("[75, 27]", "[60, 27]")]),
    # names that would be paths, or that one system keeps for itself
    Bad("name climbs out", "pieces.../x", "../x:", "'../x' cannot be a name", "../x",
        "a letter, then letters", [("  dibber:\n", "  ../x:\n")]),
    Bad("name with a slash", "jigs.a/b", "a/b:", "'a/b' cannot be a name", "a/b",
        "a letter, then letters", [("  gauge:\n", "  a/b:\n")]),
    Bad("name with a drive", r"jigs.C:\x", "C:\\x:", r"'C:\x' cannot be a name", r"C:\x",
        "a letter, then letters", [("  ring:\n", "  C:\\x:\n")]),
    Bad("name of a device", "jigs.con", "  con:", "Windows keeps it", "con", "con_1",
        [("  gauge:\n", "  con:\n"), ("[ring, gauge]", "[ring, con]")]),
    Bad("name of a device, capitals", "setups.LPT1", "  LPT1:", "Windows keeps it", "LPT1",
        "LPT1_1", [("  marking:\n", "  LPT1:\n")]),
    Bad("name ends in a space", "setups.marking ", '"marking "', "cannot be a name", "marking",
        "no space last", [("  marking:\n", '  "marking ":\n')]),
    # jigs and setups that do not go together
    Bad("kind unknown", "jigs.ring.kind", "split_rng", "did you mean 'split_ring'?", "split_rng",
        "height_gauge, riser, split_ring", [("kind: split_ring", "kind: split_rng")]),
    Bad("kind missing", "jigs.ring", "wood: beech # ring", "what kind of jig is this", "no kind",
        "height_gauge, riser, split_ring", [(f"{RING}    wood: beech", "    wood: beech # ring")]),
    Bad("in two setups", "setups.other.jigs[0]", "other:", "the jig 'ring' stands in two setups",
        "ring", "setups.marking", [("    cut: mark\n", f"    cut: mark\n{OTHER}")]),
    Bad("twice in one setup", "setups.marking.jigs[2]", "jigs: [", "twice in this setup", "ring",
        "setups.marking", [("[ring, gauge]", "[ring, gauge, ring]")]),
    Bad("in no setup", "jigs.gauge", "  gauge:", "the jig 'gauge' stands in no setup", "gauge",
        "setups: marking", [("[ring, gauge]", "[ring]")]),
    Bad("unknown piece", "setups.marking.piece", "piece:", "did you mean 'dibber'?", "diber",
        "one of: dibber", [("piece: dibber", "piece: diber")]),
    Bad("unknown jig", "setups.marking.jigs[0]", "jigs: [", "did you mean 'ring'?", "rong",
        "one of: ring, gauge", [("[ring, gauge]", "[rong, gauge]")]),
    Bad("unknown cut", "setups.marking.cut", "cut: mrk", "did you mean 'mark'?", "mrk",
        "one of: mark", [("    cut: mark", "    cut: mrk")]),
    Bad("unknown cutter", "cuts.mark.cutter", "mark: {", "did you mean 'ball 6'?", "ball 8",
        "ball 6, straight 6", [("cutter: ball 6", "cutter: ball 8")]),
    Bad("unknown sheet", "jigs.ring.sheet", "sheet: plly", "did you mean 'ply'?", "plly",
        "one of: ply", in_ring("sheet: plly")),
    Bad("set and built", "jigs.ring.built.gap", "built:", "'gap' is both set and built",
        "set: 8, built: 9", "one of the two", in_ring("set: {gap: 8}\n    built: {gap: 9}")),
    # the machine
    Bad("machine file missing", "machine", "machine: mach", "did you mean 'bench_router.yaml'?",
        "machines/bench_rooter.yaml", "the path of a machine file",
        [("machine: machines/bench_router", "machine: machines/bench_rooter")]),
    Bad("machine is a folder", "machine", "machine: mach", "this is a folder", "machines",
        "the path of a machine file", [(f"machine: {MACHINE_FILE}", "machine: machines")]),
    Bad("machine is a number", "machine", "machine: 3", "neither a machine nor the path", "3",
        "machines/bench_router.yaml", [(f"machine: {MACHINE_FILE}", "machine: 3")]),
    Bad("machine path too long", "machine", "machine: mm", "cannot be read", "mmm",
        "the path of a machine file", [(f"machine: {MACHINE_FILE}", f"machine: {'m' * 5000}")]),
    Bad("broken value in the machine file", "under_gantry", "under_gantry:",
        "'parsecs' is not a unit of length", "160 parsecs", "mm, cm, in",
        machine=[("under_gantry: 160", "under_gantry: 160 parsecs")]),
    Bad("broken YAML in the machine file", "travel", "  y: -110", "this is not valid YAML",
        "y: -110 to 400", "close the bracket", machine=[("travel:\n", "travel: [\n")]),
    Bad("no slots in the machine file", "table.fixing.at", "    at: []", "at least 1",
        "a list of 0", "at least 1",
        machine=[("[60, 120, 180, 240, 300, 360, 420, 480, 540]", "[]")]),
    Bad("slot narrower below", "front_face.fixing.profile.wide", "wide: 7,", "wide is 7 mm", "7",
        "wider below its mouth", machine=[(
            "at: [-90, -190, -290]\n    profile: {mouth: 10.2, lip: 9, wide: 17,",
            "at: [-90, -190, -290]\n    profile: {mouth: 10.2, lip: 9, wide: 7,")]),
]  # fmt: skip


@pytest.mark.parametrize("bad", BAD, ids=lambda bad: bad.id)
def test_a_mistake_is_named_with_its_place(bad: Bad, shop: Path) -> None:
    (shop / "job.yaml").write_text(edited(JOB, bad.job), encoding="utf-8")
    (shop / MACHINE_FILE).write_text(edited(MACHINE, bad.machine), encoding="utf-8")
    text = (shop / bad.file).read_text(encoding="utf-8")
    place, found, right, *more = refused(shop).splitlines()
    assert place.startswith(f"{bad.file}:{line_of(text, bad.mark)}, {bad.keys}: ")
    assert bad.says in place
    assert found.startswith("  found: ")
    assert bad.found in found
    assert right.startswith("  right: ")
    assert bad.right in right
    assert more == []


@pytest.mark.parametrize("id", ["unknown key, set", "machine file missing", "in two setups"])
def test_build_refuses_as_check_does(id: str, shop: Path) -> None:
    bad = next(bad for bad in BAD if bad.id == id)
    (shop / "job.yaml").write_text(edited(JOB, bad.job), encoding="utf-8")
    message = refused(shop, command="build")
    assert bad.says in message
    assert message == refused(shop, command="check")


def test_build_into_a_folder_that_is_not_there_leaves_it_so(shop: Path) -> None:
    shutil.rmtree(shop / "exports")
    (shop / "job.yaml").write_text(edited(JOB, [("taper: 0.3", "taper: x")]), encoding="utf-8")
    assert "pieces.dibber.taper" in refused(shop, command="build")
    assert not (shop / "exports").exists()


def test_several_mistakes_come_in_one_go(shop: Path) -> None:
    wrong = [("revision: A", "revison: A"), ("count: 24", "count: 0"), ("taper: 0.3", "taper: x")]
    (shop / "job.yaml").write_text(edited(JOB, wrong), encoding="utf-8")
    told = [line for line in refused(shop).splitlines() if line.startswith("job.yaml:")]
    assert [line.split(", ")[1].split(":")[0] for line in told] == [
        "revison",
        "pieces.dibber.count",
        "pieces.dibber.taper",
    ]


# Files that are no job at all

NINE = ", ".join(["{}"] * 9)
BOMB = "a: &a [" + ", ".join("x" * 9) + "]\n" + "".join(
    f"{name}: &{name} [{NINE.format(*[f'*{below}'] * 9)}]\n"
    for below, name in zip("abcdefgh", "bcdefghi", strict=True)
)  # fmt: skip


@pytest.mark.parametrize(
    ("content", "place", "says", "found", "right"),
    [
        pytest.param(b"", "x.yaml:1: ", "the file is empty", "nothing", "key: value", id="empty"),
        pytest.param(b"# later\n", "x.yaml:1: ", "the file is empty", "nothing", "key: value",
                     id="only a comment"),
        pytest.param(b"job: x\n\tpieces: 3\n", "x.yaml:2", "not valid YAML", "pieces: 3",
                     "never with the tab key", id="tab"),
        pytest.param(b"job: [1, 2\n", "x.yaml:", "not valid YAML", "", "close the bracket",
                     id="open bracket"),
        pytest.param(b"- a\n- b\n", "x.yaml:1: ", "is not a mapping", "a list", "key: value",
                     id="a list"),
        pytest.param(b"job: a\n---\njob: b\n", "x.yaml:2: ", "a second document", "---",
                     "one document in a file", id="two documents"),
        pytest.param(b"job: a\nrevision: A\njob: b\n", "x.yaml:3, job: ", "stands twice", "job",
                     "only one of the two; the other is in line 1", id="duplicate keys"),
        pytest.param(BOMB.encode(), "x.yaml:", "the aliases stand for too much", "over 20,000",
                     "without aliases", id="alias bomb"),
        pytest.param(b"job: &a [*a]\n", "x.yaml:1, job[0]: ", "that holds it", "*a",
                     "a value of its own", id="alias in itself"),
        pytest.param(b"job: " + b"[" * 5000 + b"]" * 5000, "x.yaml:1, job[0]", "nested too deeply",
                     "[", "at most 30 levels", id="deep nesting"),
        pytest.param(b"job: !!python/object/apply:os.getcwd []\n", "x.yaml:1, job: ", "tag",
                     "python/object", "", id="a tag that would run code"),
        pytest.param("job: x".encode("utf-16"), "x.yaml:1: ", "not in UTF-8", "UTF-16",
                     "save the file as UTF-8", id="UTF-16"),
        pytest.param(b"job: a\x00b\n", "x.yaml:1: ", "does not print", "U+0000", "plain text",
                     id="a NUL"),
        pytest.param(b"#" * 1_000_001, "x.yaml: ", "too large", "1,000,001 bytes", "at most",
                     id="too large"),
    ],
)  # fmt: skip
def test_a_file_that_is_no_job(
    content: bytes, place: str, says: str, found: str, right: str, shop: Path
) -> None:
    (shop / "x.yaml").write_bytes(content)
    lines = refused(shop, "x.yaml").splitlines()
    assert lines[0].startswith(place)
    assert says in lines[0]
    assert lines[1].startswith("  found: ")
    assert found in lines[1]
    assert lines[2].startswith("  right: ")
    assert right in lines[2]


def test_a_file_that_is_not_there(shop: Path) -> None:
    message = refused(shop, "jobb.yaml")
    assert message.startswith("jobb.yaml: there is no such file (did you mean 'job.yaml'?)")
    assert "right: the path of a YAML file" in message


def test_a_folder(shop: Path) -> None:
    message = refused(shop, ".")
    assert message.startswith(".: this is a folder")
    assert "right: job.yaml" in message


# Jobs that are read, but cannot be sized: the number, the reason, and what would do

FRONT = section(MACHINE, "front_face:", "travel:")
FRONT_ANCHORS = section(MACHINE, "    anchors: slots\n    along: x", "travel:")


@pytest.mark.parametrize(
    ("job", "machine", "says"),
    [
        pytest.param((), [(FRONT, "")],
                     ["setups.marking.at: this machine has no front face", "found: front face",
                      "a machine with front_face"], id="no front face"),
        pytest.param((), [("along: x", "along: y")],
                     ["ring.hang_z", "front face", "a front face with slots along x"],
                     id="front slots upright"),
        pytest.param((), [("[-90, -190, -290]", "[-90]")],
                     ["hang_z", "only 1 of the front slots at -90", "two slots between"],
                     id="too few slots behind the board"),
        pytest.param((), [(FRONT_ANCHORS, "    anchors: spoilboard\n    thickness: 6\n")],
                     ["ring.hang_size", "no wood screw", "a thicker board"],
                     id="front face of a board too thin"),
        pytest.param((), [(FRONT, FRONT.replace("mouth: 10.2", "mouth: 4.5"))],
                     ["ring.hang_", "4.5", "8 mm or more"], id="slots for no bolt"),
        pytest.param([(SHEETS, "")], (), ["jigs.ring", "no sheet is listed", "sheets: {ply:"],
                     id="no sheet"),
        pytest.param([(section(JOB, "linings:", "cuts:"), "")], (),
                     ["jigs.ring", "needs a lining", "linings: {rubber:"], id="no lining"),
        pytest.param([(RING, f"{RING}    set: {{drawbolt_size: M99}}\n")], (),
                     ["thread sizes has no 'M99'", "there is: M4"], id="no such thread"),
        pytest.param([(GAUGE, f"{GAUGE}    set: {{arch_radius: 1}}\n")], (),
                     ["gauge.crown_height", "a circle of radius 1 mm has no chord",
                      "arch_radius = 1"], id="arch smaller than its chord"),
        pytest.param([("[ring, gauge]", "[gauge]"), (section(JOB, "  ring:", "  gauge:"), "")], (),
                     ["gauge.", "needs 'axis_y'", "dibber"], id="a gauge alone"),
    ],
)  # fmt: skip
def test_a_job_that_cannot_be_sized(
    job: Edits, machine: Edits, says: list[str], shop: Path
) -> None:
    (shop / "job.yaml").write_text(edited(JOB, job), encoding="utf-8")
    (shop / MACHINE_FILE).write_text(edited(MACHINE, machine), encoding="utf-8")
    message = refused(shop)
    for words in says:
        assert words in message


# Names: what the reader takes, the writer of files takes too


@pytest.mark.parametrize("name", ["ring", "Ring 2", "a", "x_1-b", "console", "com10", "a" * 40])
def test_a_usable_name_is_a_usable_file(name: str) -> None:
    assert usable_name(name) == name
    check_name(f"parts/{name}/{name}")


@pytest.mark.parametrize(
    "name", ["", " a", "a ", "1a", "../x", "a/b", "C:\\x", "con", "Aux", "COM1", "a.b", "a\n",
             "é", "a" * 41],
)  # fmt: skip
def test_other_names_are_refused(name: str) -> None:
    with pytest.raises(ValueRefused, match="cannot be a name"):
        usable_name(name)
