"""YAML files: what is read, where it stands, and what is refused."""

from __future__ import annotations

import math
import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from jigs.errors import ReadingError, key_path
from jigs.reading.nodes import MOST_NODES
from jigs.reading.source import LARGEST_FILE, Source, load, parse

JOB = """\
# two pieces of one batch
units: mm
pieces:
  dibber:
    grip: 31.5 to 36
    dome: {rise: 4, width: "24 mm"}
slots:
  - 60
  - at: 120
    hides: [1, 2]
"""


def refusal(text: str) -> ReadingError:
    with pytest.raises(ReadingError) as caught:
        parse(text, "job.yaml")
    return caught.value


def test_the_data_are_plain() -> None:
    assert parse(JOB).data == {
        "units": "mm",
        "pieces": {"dibber": {"grip": "31.5 to 36", "dome": {"rise": 4, "width": "24 mm"}}},
        "slots": [60, {"at": 120, "hides": [1, 2]}],
    }


@pytest.mark.parametrize(
    ("keys", "of_key", "line", "column"),
    [
        ((), False, 2, 1),
        (("units",), True, 2, 1),
        (("units",), False, 2, 8),
        (("pieces", "dibber"), True, 4, 3),
        (("pieces", "dibber"), False, 5, 5),
        (("pieces", "dibber", "dome", "width"), True, 6, 21),
        (("pieces", "dibber", "dome", "width"), False, 6, 28),
        (("slots", 0), False, 8, 5),
        (("slots", 1, "hides", 1), False, 10, 16),
        (("slots", 1, "hides", 1), True, 10, 16),  # a list item has no key of its own
        (("pieces", "dibber", "length"), False, 5, 5),  # not there: the nearest above
    ],
)
def test_every_key_and_value_has_its_place(
    keys: tuple[str | int, ...], of_key: bool, line: int, column: int
) -> None:
    place = parse(JOB, "job.yaml").place(keys, of_key=of_key)
    assert (place.file, place.line, place.column, place.keys) == ("job.yaml", line, column, keys)


def test_a_key_path_is_written_as_the_user_reads_it() -> None:
    place = parse(JOB, "jobs/a.yaml").place(("slots", 1, "hides", 0))
    assert str(place) == "jobs/a.yaml:10, slots[1].hides[0]"


@pytest.mark.parametrize(
    ("keys", "found"),
    [
        (("pieces", "dibber", "dome", "width"), '"24 mm"'),
        (("pieces", "dibber"), "a mapping with grip, dome"),
        (("slots",), "a list of 2"),
        (("slots", 0), "60"),
        (("nothing",), ""),
    ],
)
def test_what_was_found_is_shown_as_it_was_written(keys: tuple[str | int, ...], found: str) -> None:
    assert parse(JOB).found(keys) == found


def test_a_part_is_taken_by_its_key_path() -> None:
    source = parse(JOB, "job.yaml")
    assert source.at(("slots", 1, "at")) == 120
    assert source.at(()) is source.data
    with pytest.raises(
        ReadingError, match=r"job.yaml:4, pieces: .*did you mean 'dibber'"
    ) as caught:
        source.at(("pieces", "diber", "grip"))
    assert "dibber" in caught.value.found


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("on", "on"), ("off", "off"), ("yes", "yes"), ("no", "no"), ("y", "y"), ("NO", "NO"),
        ("true", True), ("False", False), ("TRUE", True),
        ("", None), ("~", None), ("null", None), ("Null", None),
        ("1:30", "1:30"), ("010", "010"), ("0o10", "0o10"), ("0x1F", "0x1F"), ("1_000", "1_000"),
        ("2024-05-01", "2024-05-01"), ("=", "="),
        ("0", 0), ("-7", -7), ("+7", 7), ("1e3", 1000.0), ("1.5", 1.5), ("-.5", -0.5), ("1.", 1.0),
        ("6.02E+3", 6020.0), (".inf", math.inf), ("-.INF", -math.inf), ("1e999", math.inf),
        ('"38"', "38"), ("'true'", "true"), ('""', ""), ("!!str 38", "38"), ("! 38", "38"),
        ("!!int 38", 38), ("!!float 38", 38.0), ("!!bool true", True), ("!!null ~", None),
        ("!!map {a: 1}", {"a": 1}), ("!!seq [1]", [1]), ("{}", {}), ("[]", []),
        ("38 mm", "38 mm"), ('3/4"', '3/4"'), ("150 ± 0.5", "150 ± 0.5"),
        ("|\n  two\n  lines", "two\nlines"),
        ("a#b", "a#b"), ("38 # mm", 38),
    ],
)  # fmt: skip
def test_an_unquoted_scalar_means_what_it_looks_like(written: str, value: object) -> None:
    read = parse(f"key: {written}").data["key"]
    assert read == value
    assert type(read) is type(value)


def test_not_a_number_is_left_to_the_validator() -> None:
    read = parse("key: .nan").data["key"]
    assert isinstance(read, float)
    assert math.isnan(read)


def test_an_alias_is_written_out_and_stands_where_its_anchor_is() -> None:
    source = parse("a: &wood\n  name: ash\nb: *wood\nc: [*wood]\n")
    assert source.data == {"a": {"name": "ash"}, "b": {"name": "ash"}, "c": [{"name": "ash"}]}
    assert source.data["a"] is not source.data["b"]
    assert source.place(("b",), of_key=True).line == 3
    assert source.place(("b", "name")).line == 2


def test_a_redefined_anchor_means_the_last_one_above() -> None:
    assert parse("a: &x 1\nb: *x\nc: &x 2\nd: *x\n").data == {"a": 1, "b": 1, "c": 2, "d": 2}


@pytest.mark.parametrize(
    ("text", "line", "keys", "says", "right"),
    [
        ("a: 1\nb: 2\na: 3\n", 3, "a", "stands twice in one mapping: lines 1 and 3", "line 1"),
        ("x:\n  a: 1\n  a: 1\n", 3, "x.a", "lines 2 and 3", "only one"),
        ("x: [{a: 1}, {b: 1, b: 2}]", 1, "x[1].b", "stands twice", "only one"),
        ("a: !!python/name:os.system x", 1, "a", "tag '!!python/name:os.system'", "without a tag"),
        ("a: !mine 3", 1, "a", "the tag '!mine'", "without a tag"),
        ("a: !!int 3.5", 1, "a", "'!!int' does not fit", "without a tag"),
        ("a: !!binary aGk=", 1, "a", "the tag '!!binary'", "without a tag"),
        ("a: !!set {b}", 1, "a", "the tag '!!set'", "without a tag"),
        ("a: *no", 1, "a", "no anchor 'no' above", "&no"),
        ("a: &wood 1\nb: *wod", 2, "b", "no anchor 'wod'", "did you mean 'wood'?"),
        ("a: &x [1, *x]", 1, "a[1]", "'x' stands for something that holds it", "its own"),
        ("a: &x\n  b: *x\n", 2, "a.b", "stands for something that holds it", "its own"),
        ("<<: {a: 1}", 1, "", "merge keys", "write the keys out"),
        ("a: &x {b: 1}\nc:\n  <<: *x\n", 3, "c", "merge keys", "write the keys out"),
        ("1: x", 1, "", "a key is not text", '"1": ...'),
        ("a:\n  true: x\n", 2, "a", "a key is not text", '"true": ...'),
        ("?\n: x", 1, "", "a key is not text", "a word in front"),
        ("~: x", 1, "", "a key is not text", '"~": ...'),
        (": x", 1, "", "not valid YAML", "key"),
        ("? [a, b]\n: x", 1, "", "a key is not plain text", "a word"),
        ('"": x', 1, "", "a key of this length", "1 to 200"),
        ("a: 1\n---\nb: 2", 2, "", "a second document", "one document"),
        ("", 1, "", "the file is empty", "key: value"),
        ("# only a remark\n", 1, "", "the file is empty", "key: value"),
        ("null", 1, "", "the file is empty", "key: value"),
        ("- a\n- b\n", 1, "", "not a mapping", "key: value"),
        ("\njust words", 2, "", "not a mapping", "key: value"),
        ("a:\n\tb: 1", 2, "a", "not valid YAML", "spaces, never with the tab"),
        ("a: 1\n  b: 2", 2, "", "not valid YAML", "`key: value`"),
        ("a:\n  b: 1\n c: 2", 3, "", "not valid YAML", "same column"),
        ("a: [1, 2\nb: 3", 2, "a", "not valid YAML", "close the bracket"),
        ('a: "x\nb: 3', 2, "a", "not valid YAML", "close the quote"),
        ('a: "c:\\wood"', 1, "a", "not valid YAML", "single quotes"),
        ("a: 1\nb\nc: 2", 3, "", "not valid YAML", "a colon and a space"),
        ("a: @x", 1, "a", "not valid YAML", "quotes around"),
        ('a: "\\U00110000"', 1, "a", "out of range", "plain text"),
        ('a: "\\0"', 1, "a", "does not print", "plain text"),
        ("a: 1\nb: \x1b[31m", 2, "", "does not print", "remove"),
        ("a: 1\u2028b: 2", 1, "", "does not print", "remove"),
        ("a: " + "9" * 301, 1, "a", "this number is too long", "at most 300"),
        ("a: " + "x" * 10_001, 1, "a", "this text is too long", "at most 10,000"),
    ],
)  # fmt: skip
def test_one_refusal_with_its_place(text: str, line: int, keys: str, says: str, right: str) -> None:
    error = refusal(text)
    assert (error.place.file, error.place.line) == ("job.yaml", line)
    assert key_path(error.place.keys) == keys
    assert says in error.problem
    assert right in error.right
    assert error.found


def test_the_caps_take_what_is_just_within() -> None:
    assert parse("a: " + "x" * 10_000).data["a"] == "x" * 10_000
    assert len(parse("a: [" + "1," * (MOST_NODES - 3) + "1]").data) == 1
    assert "too many values" in refusal("a: [" + "1," * MOST_NODES + "1]").problem
    deep = parse("a: " + "[" * 28 + "]" * 28).data["a"]
    for _ in range(27):
        assert isinstance(deep, list)
        deep = deep[0]
    assert deep == []
    assert "nested too deeply" in refusal("a: " + "[" * 30 + "]" * 30).problem


# ---- files --------------------------------------------------------------------------------------


def written(path: Path, content: bytes) -> Path:
    path.write_bytes(content)
    return path


def test_a_file_is_read_with_or_without_a_byte_order_mark(tmp_path: Path) -> None:
    content = "name: 150 ± 0.5\r\nb: 2\r\n".encode()
    plain = load(written(tmp_path / "a.yaml", content))
    marked = load(written(tmp_path / "b.yaml", b"\xef\xbb\xbf" + content))
    assert plain.data == marked.data == {"name": "150 ± 0.5", "b": 2}
    assert marked.place(("name",), of_key=True).column == 1
    assert marked.place(("b",)).line == 2


def test_the_file_is_named_as_the_user_typed_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    written(tmp_path / "a.yaml", b"a: *b\n")
    monkeypatch.chdir(tmp_path)
    with pytest.raises(ReadingError) as caught:
        load("./a.yaml")
    assert str(caught.value).startswith("./a.yaml:1, a: ")


@pytest.mark.parametrize(
    ("content", "says", "found", "line", "column"),
    [
        ("a: 1\nb: é".encode("latin-1"), "not in UTF-8", "0xe9", 2, 4),
        ("a: ü\nb: ".encode() + b"\xff", "not in UTF-8", "0xff", 2, 4),
        ("a: 1".encode("utf-16"), "not in UTF-8", "UTF-16", 1, 1),
        (b"a: 1\nb: x\x00y", "does not print", "U+0000", 2, 5),
        (b"PK\x03\x04", "does not print", "U+0003", 1, 3),
        (b"", "is empty", "nothing", 1, 1),
    ],
)
def test_bytes_that_are_no_text_are_refused(
    tmp_path: Path, content: bytes, says: str, found: str, line: int, column: int
) -> None:
    with pytest.raises(ReadingError, match=says) as caught:
        load(written(tmp_path / "a.yaml", content))
    assert found in caught.value.found
    assert (caught.value.place.line, caught.value.place.column) == (line, column)


def test_a_large_file_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "large.yaml"
    with path.open("wb") as stream:
        stream.truncate(50 * 1024**3)  # 50 GiB of nothing: reading it would not end
    with pytest.raises(ReadingError, match="too large") as caught:
        load(path)
    assert f"{LARGEST_FILE:,}" in caught.value.right


def test_a_missing_file_names_its_neighbour(tmp_path: Path) -> None:
    written(tmp_path / "dibbers.yaml", b"a: 1")
    with pytest.raises(ReadingError, match=r"no such file \(did you mean 'dibbers.yaml'\?\)"):
        load(tmp_path / "dibber.yaml")
    with pytest.raises(ReadingError, match="no such file"):
        load(tmp_path / "no" / "such" / "folder.yaml")


def test_a_folder_names_what_is_in_it(tmp_path: Path) -> None:
    written(tmp_path / "dibbers.yaml", b"a: 1")
    with pytest.raises(ReadingError, match="this is a folder") as caught:
        load(tmp_path)
    assert caught.value.right == "dibbers.yaml"


def test_a_pipe_is_refused_without_waiting_for_it(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.yaml")
    with pytest.raises(ReadingError, match="not a plain file"):
        load(tmp_path / "pipe.yaml")


@pytest.mark.parametrize("name", ["a\0b.yaml", "x" * 5000, "a.yaml/b.yaml"])
def test_a_path_that_cannot_be_is_refused(tmp_path: Path, name: str) -> None:
    written(tmp_path / "a.yaml", b"a: 1")
    with pytest.raises(ReadingError):
        load(tmp_path / name)


# ---- properties ---------------------------------------------------------------------------------


def reads_as_float(text: str) -> bool:
    """Say whether Python takes the text for a number."""
    try:
        float(text)
    except ValueError:
        return False
    return True


PRINTABLE = st.characters(exclude_categories=("Cs", "Cc"))
# PyYAML writes YAML 1.1, in which 1e3 and +.5 are text and so need no quotes; in 1.2 they do.
TEXT = st.text(PRINTABLE, max_size=30).filter(lambda text: not reads_as_float(text))
TREES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**12), 10**12)
    | st.floats(allow_nan=False, allow_infinity=False)
    | TEXT,
    lambda trees: (
        st.lists(trees, max_size=4) | st.dictionaries(TEXT.filter(bool), trees, max_size=4)
    ),
    max_leaves=25,
)


@settings(max_examples=100, deadline=None)
@given(
    data=st.dictionaries(TEXT.filter(bool), TREES, min_size=1, max_size=4),
    flow=st.sampled_from([True, False, None]),
    unicode=st.booleans(),
)
def test_what_was_written_reads_back(data: dict[str, object], flow: bool, unicode: bool) -> None:
    text = yaml.safe_dump(data, default_flow_style=flow, allow_unicode=unicode, sort_keys=False)
    if any(sign in text for sign in "\x85\u2028\u2029"):
        text = yaml.safe_dump(data, default_flow_style=flow, sort_keys=False)
    assert parse(text).data == data


def outcome(read: Callable[..., Source], *arguments: object) -> Source | ReadingError:
    """Return what is read, or the refusal."""
    try:
        return read(*arguments)
    except ReadingError as error:
        return error


@settings(max_examples=150, deadline=None)
@given(text=st.text(max_size=60) | st.text("ab:-[]{},&*!|>'\"#%@? \n\t1.~<", max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    result = outcome(parse, text, "job.yaml")
    if isinstance(result, Source):
        assert set(result.key_marks) <= set(result.value_marks)
    else:
        assert result.place.line >= 1
        assert result.found
        assert result.right


@settings(max_examples=60, deadline=None)
@given(content=st.binary(max_size=40))
def test_any_bytes_are_read_or_refused(
    tmp_path_factory: pytest.TempPathFactory, content: bytes
) -> None:
    path = tmp_path_factory.getbasetemp() / "any.yaml"
    path.write_bytes(content)
    result = outcome(load, path)
    assert (result.file if isinstance(result, Source) else result.place.file) == str(path)


# ---- hostile files ------------------------------------------------------------------------------


def alias_bomb(width: int, levels: int) -> str:
    lines = ["a0: &a0 [" + ", ".join(["x"] * width) + "]"]
    for level in range(1, levels):
        again = ", ".join([f"*a{level - 1}"] * width)
        lines.append(f"a{level}: &a{level} [{again}]")
    return "\n".join(lines)


def mapping_bomb(width: int, levels: int) -> str:
    lines = ["a0: &a0 {k: v}"]
    for level in range(1, levels):
        again = ", ".join(f"k{i}: *a{level - 1}" for i in range(width))
        lines.append(f"a{level}: &a{level} {{{again}}}")
    return "\n".join(lines)


PYTHON_TAGS = [
    "object:os.system", "object/apply:os.system", "object/new:os.system", "name:os.system",
    "module:os", "tuple", "none", "bool", "bytes", "str", "unicode", "int", "long", "float",
    "complex", "list", "dict", "object:subprocess.Popen", "object/apply:eval",
    "object/apply:builtins.exec", "object/new:type", "object:collections.OrderedDict",
]  # fmt: skip
OTHER_TAGS = [
    "!x", "!!binary", "!!timestamp", "!!set", "!!omap", "!!pairs", "!!merge", "!!value", "!!yaml",
    "!<tag:example.org,2002:x>", "!<!x>", "!ruby/object:Gem", "!!java.net.URL", "!include",
    "!env", "!!float/x",
]  # fmt: skip
CONTROLS = [chr(code) for code in (*range(0x20), *range(0x7F, 0xA0)) if chr(code) not in "\t\n\r"]
ESCAPES = ["\\0", "\\a", "\\b", "\\v", "\\f", "\\e", "\\x01", "\\x7f", "\\ud800", "\\udfff",
           "\\U0000d800", "\\U00110000", "\\Uffffffff", "\\q", "\\x0", "\\u12", "\\U1"]  # fmt: skip

HOSTILE = {
    **{f"list bomb {w}x{n}": alias_bomb(w, n) for w in (2, 3, 9, 50) for n in (29, 100)},
    **{f"list bomb 9x{n}": alias_bomb(9, n) for n in (6, 8, 12)},
    **{f"map bomb {w}x{n}": mapping_bomb(w, n) for w in (2, 9) for n in (29, 60)},
    **{f"quadratic {n}": f"a: &a [{'x,' * n}x]\nb: [{'*a,' * n}*a]" for n in (200, 2000)},
    **{
        f"deep {sign!r} {n}": f"{start}{sign * n}"
        for sign, start in [("[", "a: "), ("{a: ", "a: "), ("[{a: ", "a: "), ("- ", "a:\n  ")]
        for n in (31, 1000, 50_000)
    },
    **{f"deep ? {n}": "? " * n for n in (31, 50_000)},
    **{
        f"deep block {n}": "\n".join(" " * i + "a:" for i in range(n)) + " 1"
        for n in (31, 300, 900)
    },
    **{
        f"cycle {i}": text
        for i, text in enumerate(
            ["a: &a [*a]", "a: &a {b: *a}", "&a a: &b [&c [*b]]", "a: &a [[[{b: [*a]}]]]",
             "&top {a: *top}", "&top\na: [*top]", "a: [*b, &b 1]", "*a : &a 1"]
        )
    },
    **{f"tag python/{tag}": f"a: !!python/{tag} [ls]" for tag in PYTHON_TAGS},
    **{f"tag python/{tag} on text": f"a: !!python/{tag} ls" for tag in PYTHON_TAGS},
    **{f"tag {tag}": f"a: {tag} x" for tag in OTHER_TAGS},
    "tag on the top": "!!python/object:os.system {a: 1}",
    "tag on a key": "!!python/name:os.system a: 1",
    "tag by handle": "%TAG !p! tag:yaml.org,2002:python/\n---\na: !p!name:os.system x",
    "core tag on the wrong kind": "a: !!map [1]",
    "core tag that does not fit": "a: !!bool maybe",
    **{f"control U+{ord(sign):04X}": f"a: x{sign}y" for sign in CONTROLS},
    **{f"control U+{code:04X}": f"a: x{chr(code)}y" for code in (0x2028, 0x2029, 0xFFFE, 0xFFFF)},
    **{f"escape {escape}": f'a: "{escape}"' for escape in ESCAPES},
    **{f"surrogate {code:04X}": f"a: {chr(code)}" for code in (0xD800, 0xDFFF)},
    **{
        f"huge {name}": f"a: {text}"
        for name, text in {
            "plain": "x" * 900_000, "words": "x y " * 200_000, "quoted": f'"{"x" * 900_000}"',
            "folded": ">\n" + "  x\n" * 200_000, "whole number": "9" * 900_000,
            "number": "1." + "9" * 9_000, "number just over": "1" * 301,
            "exponent": "1e" + "9" * 400,
            "key": "{" + "k" * 1000 + ": 1}", "list": "[" + "1," * 400_000 + "1]",
            "anchors": "[" + ",".join(f"&a{i} 1" for i in range(40_000)) + "]",
            "tag": "!" + "x" * 900_000 + " 1", "anchor": "&" + "x" * 900_000,
            "alias": "*" + "x" * 900_000,
        }.items()
    },
    "huge explicit key": "? " + "k" * 900_000 + "\n: 1",
    "huge mapping": "\n".join(f"k{i}: 1" for i in range(40_000)),
    "many documents": "---\na: 1\n" * 50_000,
    "version digits": "%YAML 1." + "9" * 5000 + "\n---\na: 1",
    "version 3": "%YAML 3.0\n---\na: 1",
    "twice YAML": "%YAML 1.1\n%YAML 1.1\n---\na: 1",
    "merge": "a: &a {b: 1}\nc: {<<: *a}",
    "spaces": " " * 900_000,
    "line ends": "\n" * 900_000,
    "remarks": "#" * 900_000,
    "quotes": '"' * 100_001,
    "tabs": "\t" * 100_000 + "a: 1\n\tb: 2",
    "commas": "a: [" + "," * 100_000,
    "colons": "a:" + " :" * 100_000,
    "bars": "a: " + "|" * 100_000,
    "bangs": "!" * 100_000,
    "ampersands": "&" * 100_000,
}  # fmt: skip


def test_there_are_two_hundred_hostile_files() -> None:
    assert len(HOSTILE) >= 200


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_is_refused_soon(name: str) -> None:
    start = time.process_time()
    error = refusal(HOSTILE[name])
    assert time.process_time() - start < 5.0  # assumed bound; measured worst is 1.4 s
    assert len(str(error)) < 1000
    assert error.found
    assert error.right
