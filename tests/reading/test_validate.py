"""Models against files: every error with its line, its key path and what would be right."""

from __future__ import annotations

import math
import re
import subprocess
import sys
from enum import StrEnum
from typing import Annotated, Any, Literal

import pytest
from pydantic import BaseModel, Field, RootModel, ValidationInfo, field_validator, model_validator

from jigs.errors import JigsError, ReadingError, ReadingErrors, key_path
from jigs.fields import (
    READ_CONFIG,
    Angle,
    Fraction01,
    IntervalField,
    Length,
    LengthFromZero,
    LimitsField,
    Number,
    PositiveLength,
    PositiveLimits,
    WholeNumber,
)
from jigs.reading.source import parse
from jigs.reading.validate import validate
from jigs.units import Interval, Limits, Units, ValueRefused


class Entry(BaseModel):
    model_config = READ_CONFIG


class Wood(StrEnum):
    ASH = "ash"
    BEECH = "beech"


class Dome(Entry):
    rise: PositiveLength
    width: PositiveLength = Field(examples=["24 mm"], description="across the rim")

    @model_validator(mode="after")
    def no_more_than_half_a_ball(self) -> Dome:
        if self.rise > self.width / 2:
            raise ValueRefused("higher than half a ball", "at most half the width", ("rise",))
        return self


class Dibber(Entry):
    form: Literal["turned"]
    grip: PositiveLimits
    dome: Dome | None = None
    turned: Length = 0.0  # named like the tag of its own model


class Post(Entry):
    form: Literal["bar"]
    width: PositiveLimits
    wood: Wood = Wood.ASH


Piece = Annotated[Dibber | Post, Field(discriminator="form")]


class Slots(Entry):
    pitch: PositiveLength | None = None
    at: list[Length] = Field(default=[], max_length=3)


class Names(RootModel[list[str]]):
    """A bare list in the file."""


class Job(Entry):
    name: str = Field("job", min_length=2, pattern="^[a-z ]+$")
    units: Units = Units.MM
    pieces: dict[Annotated[str, Field(max_length=10)], Piece] = {}
    row: list[Piece] = []
    slots: Slots = Slots()
    travel: IntervalField = Interval(0.0, 600.0)
    top: Length | Literal["auto"] = "auto"
    rest: Slots | Dome | None = None
    tilt: Angle = 0.0
    share: Fraction01 = 0.5
    clear: LengthFromZero = 0.0
    bolts: WholeNumber = Field(2, ge=2, lt=5)
    factor: Number = Field(1.5, gt=0, le=3)
    dust: bool = False
    corner: tuple[Length, Length] = (0.0, 0.0)
    note: str | None = None
    people: Names = Names([])
    code: int = Field(7, alias="id")

    @field_validator("note")
    @classmethod
    def note_is_kind(cls, note: str | None, info: ValidationInfo) -> str | None:
        assert note != "hurry", "no hurry at the router"
        if note == (info.context or {}).get("taken"):
            raise ValueError("this note is taken")
        return note


def read(text: str, units: Units = Units.MM) -> Job:
    return validate(Job, parse(text, "job.yaml"), units=units)


def refusals(text: str, units: Units = Units.MM) -> list[ReadingError]:
    with pytest.raises(JigsError) as caught:
        read(text, units)
    error = caught.value
    assert isinstance(error, ReadingError | ReadingErrors)
    return list(error.errors) if isinstance(error, ReadingErrors) else [error]


def refusal(text: str, units: Units = Units.MM) -> ReadingError:
    (error,) = refusals(text, units)
    return error


def test_a_job_in_inches_is_held_in_millimetres() -> None:
    job = read(
        """
name: marker posts
units: inch
pieces:
  post: {form: bar, width: 1-1/2 ± 1/64, wood: beech}
  dibber: {form: turned, grip: {least: 31.5 mm, most: 36 mm}, dome: {rise: 1/4, width: 1}}
slots: {pitch: 60 mm, at: [1, -1/2]}
travel: -80 mm to 400 mm
top: 3
rest: {rise: 0.25, width: 1}
tilt: 180 deg
share: 15 %
bolts: 4
factor: 2
dust: on
corner: [1, 2 cm]
people: [Ann, Bo]
id: 12
""",
        Units.INCH,
    )
    dibber, post = job.pieces["dibber"], job.pieces["post"]
    assert isinstance(dibber, Dibber)
    assert isinstance(post, Post)
    assert post.width == Limits(37.703125, 38.1, 38.496875)
    assert post.wood is Wood.BEECH
    assert dibber.grip == Limits(31.5, 33.75, 36.0)
    assert dibber.dome == Dome(rise="6.35 mm", width="25.4 mm")  # type: ignore[arg-type]
    assert (job.slots.pitch, job.slots.at) == (60.0, [25.4, -12.7])
    assert job.travel == Interval(-80.0, 400.0)
    assert job.top == pytest.approx(76.2)
    assert job.rest == Dome(rise=6.35, width=25.4)
    assert job.tilt == pytest.approx(math.pi)
    assert (job.share, job.bolts, job.factor, job.dust, job.code) == (0.15, 4, 2.0, True, 12)
    assert job.corner == (25.4, 20.0)
    assert job.people.root == ["Ann", "Bo"]


def test_defaults_are_millimetres_whatever_the_file_is_in() -> None:
    assert read("name: stools", Units.INCH).travel == Interval(0.0, 600.0)


@pytest.mark.parametrize(("word", "value"), [("yes", True), ("off", False), ("true", True)])
def test_a_word_is_a_switch_only_where_one_is_wanted(word: str, value: bool) -> None:
    job = read(f"dust: {word}\nnote: 'x'")
    assert job.dust is value
    assert read("note: off").note == "off"


DIBBER = "pieces:\n  dibber:\n    form: turned\n    grip: 36\n"


@pytest.mark.parametrize(
    ("text", "line", "keys", "says", "found", "right"),
    [
        # keys that are not known, or not there
        ("naem: x", 1, "naem", "unknown key 'naem' (did you mean 'name'?)", "naem", "name, units"),
        ("code: 3", 1, "code", "unknown key 'code'", "code", "people, id"),
        (f"{DIBBER}    wood: ash", 5, "pieces.dibber.wood", "unknown key", "wood", "form, grip"),
        (f"{DIBBER}    gripp: 3", 5, "pieces.dibber.gripp", "'grip'?", "gripp", "form, grip, dome"),
        (f"{DIBBER}    dome: {{rise: 3, width: 9, rad: 3}}", 5, "pieces.dibber.dome.rad",
         "unknown key 'rad'", "rad", "the keys here are rise, width"),
        ("row:\n  - form: bar\n    width: 3\n    wod: ash", 4, "row[0].wod", "'wood'?", "wod",
         "form, width, wood"),
        ("slots:\n  pich: 3", 2, "slots.pich", "did you mean 'pitch'?", "pich", "pitch, at"),
        ("pieces:\n  post:\n    form: bar", 2, "pieces.post", "the key 'width' is missing",
         "a mapping with form", "width: 150 ± 0.5"),
        (f"{DIBBER}    dome:\n      rise: 3", 5, "pieces.dibber.dome", "the key 'width' is missing",
         "a mapping with rise", "width: 24 mm  (across the rim)"),
        ("row: [{form: turned}]", 1, "row[0]", "the key 'grip' is missing", "form",
         "grip: 150 ± 0.5"),
        # the choice among forms
        ("pieces:\n  a: {grip: 3}", 2, "pieces.a", "the key 'form' is missing",
         "a mapping with grip", "form: turned or bar"),
        ("pieces:\n  a:\n    form: trned", 3, "pieces.a.form", "did you mean 'turned'?", "trned",
         "turned, bar"),
        ("row:\n- form: 3", 2, "row[0].form", "not one of the choices", "3", "turned, bar"),
        ("pieces: {a: [1]}", 1, "pieces.a", "must be a mapping", "a list of 1", "key: value"),
        ("pieces: {a: }", 1, "pieces.a", "must be a mapping", "nothing", "key: value"),
        # choices
        ("units: inches", 1, "units", "did you mean 'inch'?", "inches", "mm, inch"),
        ("row: [{form: bar, width: 3, wood: bech}]", 1, "row[0].wood", "'beech'?", "bech",
         "ash, beech"),
        # kinds
        ("name: 38", 1, "name", "must be text", "38", '"38"'),
        ("name: [a]", 1, "name", "must be text", "a list of 1", "text"),
        ("bolts: true", 1, "bolts", "must be a whole number", "true", "3, for example"),
        ('bolts: "3"', 1, "bolts", "must be a whole number", '"3"', "3, for example"),
        ("bolts: 2.5", 1, "bolts", "must be a whole number", "2.5", "3, for example"),
        ("factor: 2 mm", 1, "factor", "must be a number", "2 mm", "without a unit"),
        ("factor: .nan", 1, "factor", "must be a finite number", ".nan", "3.5"),
        ("dust: maybe", 1, "dust", "must be true or false", "maybe", "true or false"),
        ("slots: 60", 1, "slots", "must be a mapping", "60", "key: value"),
        ("slots: {at: 60}", 1, "slots.at", "must be a list", "60", "[..., ...]"),
        ("pieces: []", 1, "pieces", "must be a mapping", "a list of 0", "key: value"),
        ("people: Ann", 1, "people", "must be a list", "Ann", "[..., ...]"),
        ("people: [Ann, 3]", 1, "people[1]", "must be text", "3", '"3"'),
        # bounds
        ("bolts: 1", 1, "bolts", "must be at least 2", "1", "at least 2"),
        ("bolts: 5", 1, "bolts", "must be below 5", "5", "below 5"),
        ("factor: 0", 1, "factor", "must be above 0", "0", "above 0"),
        ("factor: 3.5", 1, "factor", "must be at most 3", "3.5", "at most 3"),
        ("name: x", 1, "name", "must have at least 2 characters", "x", "at least 2"),
        ("name: X1", 1, "name", "characters that are not taken", "X1", "^[a-z ]+$"),
        ("slots:\n  at: [1, 2, 3, 4]", 2, "slots.at", "at most 3 values", "a list of 4",
         "at most 3"),
        ("slots:\n  at: [1, 2, 3x]", 2, "slots.at[2]", "'x' is not a unit", "3x", "mm, cm, in"),
        ("corner: [1]", 1, "corner", "value 2 is missing", "a list of 1", "a longer list"),
        ("pieces:\n  abcdefghijkl: {form: bar, width: 1}", 2, "pieces.abcdefghijkl",
         "the key must have at most 10 characters", "abcdefghijkl", "at most 10"),
        # lengths and the like
        ("top: 38,5", 1, "top", "decimal sign is a point", "38,5", "38.5; or auto"),
        ("top: atuo", 1, "top", "did you mean 'auto'?", "atuo", "auto; or 38, 38.5 mm"),
        ("slots: {pitch: 0}", 1, "slots.pitch", "must be above 0.0 mm", "0", "above 0.0 mm"),
        ("slots: {pitch: .inf}", 1, "slots.pitch", "inf is not a size", ".inf", "38.5 mm"),
        ("clear: -0.1", 1, "clear", "must be at least 0.0 mm", "-0.1", "from 0.0 mm"),
        ("corner: [0, 20 m]", 1, "corner[1]", "'m' is not a unit", "20 m", "mm, cm, in"),
        ("corner: [0, 30000]", 1, "corner[1]", "must be at most 20000.0 mm", "30000", "20000.0 mm"),
        ("travel: 600 to 0", 1, "travel", "is above the most", "600 to 0", "smaller number first"),
        ("travel: [0, 6oo]", 1, "travel[1]", "'oo' is not a unit", "6oo", "mm, cm, in"),
        ("travel: [0, 30000]", 1, "travel", "the most, 30000.0 mm, must be at most", "a list of 2",
         "20000.0 mm"),
        ("row: [{form: bar, width: 1 ± 1}]", 1, "row[0].width",
         "the least, 0.0 mm, must be above 0.0 mm", "1 ± 1", "above 0.0 mm"),
        ("row:\n- form: bar\n  width:\n    nominal: 3\n    tolerence: 1", 5,
         "row[0].width.tolerence", "did you mean 'tolerance'?", "1", "{nominal, tolerance}"),
        ("tilt: 400", 1, "tilt", "within one turn", "400", "-360 to 360"),
        ("share: 15", 1, "share", "must be 0 to 1", "15", "15 %"),
        # validators of the models
        (f"{DIBBER}    dome:\n      width: 9\n      rise: 5", 7, "pieces.dibber.dome.rise",
         "higher than half a ball", "5", "at most half the width"),
        ("note: hurry", 1, "note", "no hurry at the router", "hurry", "fits this rule"),
        # the tag of a union is not taken for a key of the same name
        ("pieces: {a: {form: turned, grip: 3, turned: x}}", 1, "pieces.a.turned",
         "'x' is not a number", "x", "38.5 mm"),
        # plain unions: the member that is meant is found by what is in it
        ("rest: {rise: 3, width: 9 m}", 1, "rest.width", "'m' is not a unit", "9 m", "mm, cm, in"),
        ("rest: {at: [1], pitch: -3}", 1, "rest.pitch", "must be above", "-3", "above 0.0 mm"),
        ("rest: 3", 1, "rest", "must be a mapping", "3", "key: value"),
    ],
)  # fmt: skip
def test_one_mistake_one_refusal(
    text: str, line: int, keys: str, says: str, found: str, right: str
) -> None:
    error = refusal(text)
    assert (error.place.file, error.place.line) == ("job.yaml", line)
    assert key_path(error.place.keys) == keys
    assert says in error.problem
    assert found in error.found
    assert right in error.right


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("slots: {pitch: -1}", "must be above 0 in"),
        ("clear: -1", "must be at least 0 in"),
        ("corner: [0, 800]", "must be at most 787.402 in"),
    ],
)
def test_bounds_speak_the_unit_of_the_file(text: str, says: str) -> None:
    assert says in refusal(text, Units.INCH).problem


def test_several_mistakes_come_in_the_order_of_the_file() -> None:
    errors = refusals(
        "bolts: 9\n"
        "pieces:\n"
        "  post: {form: bar, width: wide, wood: bech}\n"
        "  dibber:\n"
        "    form: turned\n"
        "    gripp: 36\n"
        "naem: x\n"
        "name: 3\n"
    )
    assert [(error.place.line, key_path(error.place.keys)) for error in errors] == [
        (1, "bolts"),
        (3, "pieces.post.width"),
        (3, "pieces.post.wood"),
        (4, "pieces.dibber"),
        (6, "pieces.dibber.gripp"),
        (7, "naem"),
        (8, "name"),
    ]


def test_a_whole_refusal_as_the_user_sees_it() -> None:
    assert str(refusal("slots:\n  pich: 60 mm")) == (
        "job.yaml:2, slots.pich: unknown key 'pich' (did you mean 'pitch'?)\n"
        "  found: pich\n"
        "  right: the keys here are pitch, at"
    )


def test_a_part_of_a_file_is_read_with_its_whole_key_path() -> None:
    source = parse("jigs:\n  - slots: {pitch: 60}\n  - slots:\n      pitch: x\n", "job.yaml")
    first = validate(Slots, source, units=Units.MM, at=("jigs", 0, "slots"))
    assert first.pitch == 60.0
    with pytest.raises(ReadingError) as caught:
        validate(Slots, source, units=Units.MM, at=("jigs", 1, "slots"))
    assert str(caught.value).startswith("job.yaml:4, jigs[1].slots.pitch: 'x' is not a number")
    with pytest.raises(ReadingError, match=r"job.yaml:2, jigs: the key '2' is missing"):
        validate(Slots, source, units=Units.MM, at=("jigs", 2, "slots"))


def test_more_context_reaches_the_validators() -> None:
    source = parse("note: mine", "job.yaml")
    assert validate(Job, source, units=Units.MM).note == "mine"
    with pytest.raises(ReadingError, match="this note is taken") as caught:
        validate(Job, source, units=Units.MM, extra_context={"taken": "mine"})
    assert "Value error" not in str(caught.value)


def test_a_mistake_behind_an_alias_is_shown_where_it_stands() -> None:
    error = refusal(
        "pieces:\n  a: &a {form: bar, width: 3}\n  b: *a\nrow: [*a, {form: bar, width: }]"
    )
    assert (error.place.line, key_path(error.place.keys)) == (4, "row[1].width")
    errors = refusals("row:\n- &a {form: bar, width: x}\n- *a\n")
    assert [error.place.line for error in errors] == [2, 2]


def test_a_model_made_in_python_takes_the_same_writings() -> None:
    post = Post.model_validate({"form": "bar", "width": "38 ± 0.5"})
    assert post.width == Limits(37.5, 38.0, 38.5)
    assert Post(form="bar", width=Limits(1.0, 2.0, 3.0)).width.most == 3.0
    assert Post.model_validate(post.model_dump()) == post


# ---- the JSON schema ----------------------------------------------------------------------------


def schema_of(annotation: Any) -> dict[str, Any]:
    class One(Entry):
        field: annotation = Field(description="how thick")

    return dict(One.model_json_schema()["properties"]["field"])


@pytest.mark.parametrize(
    "annotation", [Length, PositiveLength, LimitsField, IntervalField, Angle, Fraction01]
)
def test_the_schema_says_what_may_be_written(annotation: Any) -> None:
    schema = schema_of(annotation)
    assert schema["description"] == "how thick"
    assert schema["examples"]
    kinds = {form["type"] for form in schema["anyOf"]}
    assert "string" in kinds
    assert kinds & {"number", "array"}


@pytest.mark.parametrize("annotation", [Length, IntervalField, Angle, Fraction01])
def test_the_examples_fit_the_schema_and_are_read(annotation: Any) -> None:
    class One(Entry):
        field: annotation

    schema = One.model_json_schema()["properties"]["field"]
    assert schema["description"]
    (pattern,) = (form["pattern"] for form in schema["anyOf"] if form["type"] == "string")
    for example in schema["examples"]:
        assert One.model_validate({"field": example})
        assert not isinstance(example, str) or re.search(pattern, example)


@pytest.mark.parametrize("text", ["38", "38.5 mm", "-1-1/2 in", '3/4"', "1 1/2 inch", ".5"])
def test_the_pattern_of_a_length_takes_the_usual_writings(text: str) -> None:
    (pattern,) = (form["pattern"] for form in schema_of(Length)["anyOf"] if "pattern" in form)
    assert re.search(pattern, text)


@pytest.mark.parametrize("text", ["38,5", "wide", "38 ft", "1-1/2-1/4", ""])
def test_the_pattern_of_a_length_refuses_the_rest(text: str) -> None:
    (pattern,) = (form["pattern"] for form in schema_of(Length)["anyOf"] if "pattern" in form)
    assert not re.search(pattern, text)


def test_reading_loads_no_kernel() -> None:
    script = (
        "import sys, jigs.reading.validate; "
        "print([name for name in ('cadquery', 'OCP', 'vtkmodules', 'numpy', 'ezdxf') "
        "if name in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
