"""Measured pieces: what people's spreadsheets write, and what is wrong with it, by line."""

import time
from pathlib import Path

import pytest

from jigs.errors import ReadingError, ReadingErrors
from jigs.reading.csv_lines import LARGEST_LINES
from jigs.reading.job import read_job
from jigs.reading.measured import MOST_TOLD, Wanted, read_csv
from jigs.units import Limits, Units

ROOT = Path(__file__).parents[2]
SAID = {"taper": Limits(0, 0, 0), "ovality": Limits(0, 0, 0)}


def read(tmp_path, text, units=Units.MM, said=SAID, columns=None, encoding="utf-8"):
    path = tmp_path / "dibbers.csv"
    path.write_bytes(text.encode(encoding))
    wanted = Wanted(("grip_diameter", "length"), ("taper", "ovality"), said, columns or {}, units)
    return read_csv(path, wanted)


def sizes(read_):
    return {word: list(values) for word, values in read_.batch.sizes.items()}


GOOD = "id,grip_diameter,length\n1,33.1,230\n2,34,229.5\n"


@pytest.mark.parametrize(
    "text",
    [
        GOOD,
        "\ufeff" + GOOD,
        GOOD.replace("\n", "\r\n"),
        GOOD.replace(",", "\t"),
        GOOD.replace(",", ";"),
        GOOD.replace(",", ";").replace(".", ","),
        "length;ID;note;Grip Diameter [mm]\n230;1;knot, small;33,1\n229,5;2;;34\n",
        'id,grip_diameter (cm),length (mm)\n1,3.31,230\n2,"3.4",229.5\n,,\n',
        'id,grip-diameter,length\n"1","33.1","230 mm"\n"2",34 mm,22.95 cm\n',
    ],
)  # fmt: skip
def test_one_batch_in_many_writings(tmp_path, text):
    got = read(tmp_path, text)
    assert got.errors == ()
    assert list(got.batch.ids) == ["1", "2"]
    assert sizes(got)["grip_diameter"] == pytest.approx([33.1, 34])
    assert sizes(got)["length"] == pytest.approx([230, 229.5])


def test_what_is_taken_so_is_said(tmp_path):
    text = "id;grip_diameter;length;colour\n1;33,1;230;red\n2;34;;\n"
    notes = read(tmp_path, text, said={**SAID, "length": Limits(229, 230, 231)}).batch.notes
    assert notes == (
        "dibbers.csv: cells are separated by semicolons",
        "dibbers.csv: not used: colour",
        "dibbers.csv: a comma between figures is taken as the decimal point",
        "dibbers.csv: 1 of 2 cells of length are empty: taken as the job says, 230 mm",
    )


def test_fractions_of_an_inch(tmp_path):
    text = 'id,grip_diameter,length [mm]\nA,1-5/16,230\nB,1 3/8",229\nC,34 mm,228\n'
    got = sizes(read(tmp_path, text, Units.INCH))
    assert got["grip_diameter"] == pytest.approx([1.3125 * 25.4, 1.375 * 25.4, 34])
    assert got["length"] == pytest.approx([230, 229, 228])


def test_columns_with_names_of_their_own(tmp_path):
    text = "No.,at the grip,L\n1,33.1,230\n"
    columns = {"id": "No.", "grip_diameter": "At the grip", "length": "L"}
    assert sizes(read(tmp_path, text, columns=columns))["grip_diameter"] == [33.1]


BAD_LINES = [
    ("3,abc,230", 4, 3, "not a number", "38"),
    ("3,,230", 4, 3, "there is no number, and the job gives none", "grip_diameter in the job"),
    ("3,-33,230", 4, 3, "must be above 0", "a length"),
    ("3,0,230", 4, 3, "must be above 0", "a length"),
    ("3,nan,230", 4, 3, "not a size that can be made", "38"),
    ("3,33.1 stone,230", 4, 3, "is not a unit of length", "mm"),
    ("3,33,1,230", 4, 8, "4 cells, where the header has 3", "a decimal comma"),
    ('3,"33,1",230', 4, 3, "where commas separate cells", "33.1"),
    ("3,33.1", 4, 7, "2 cells, where the header has 3", "3 cells"),
    ("1,33.1,230", 4, 1, "the id '1' stands in line 2 too", "an id of its own"),
    (",33.1,230", 4, 1, "there is no id", "written on the piece"),
    ('3,"33.1,230', 4, 3, "a quote is not closed", "closing"),
    ("3,33.1,9999999", 4, 8, "must be at most", "a length"),
]


@pytest.mark.parametrize(("line", "number", "column", "problem", "right"), BAD_LINES)
def test_a_bad_line_is_named_and_the_good_ones_are_kept(
    tmp_path, line, number, column, problem, right
):
    got = read(tmp_path, GOOD + line + "\n4,35,231\n")
    (error,) = got.errors
    assert (error.place.line, error.place.column) == (number, column)
    assert f"dibbers.csv:{number}: column {column}: " in str(error)
    assert problem in str(error)
    assert right in error.right
    assert list(got.batch.ids) == ["1", "2", "4"]
    assert (got.batch.bad, got.more) == (1, 0)


BAD_FILES = [
    ("", "the file is empty"),
    ("\n\n  \n", "the file is empty"),
    ("number,grip_diameter,length\n1,33,230\n", "there is no column 'id'"),
    ("id,grip_diametre,length\n1,33,230\n", "did you mean 'grip_diametre'"),
    ("id,grip_diameter\n1,33\n", "there is no column 'length', and the job gives no length"),
    ("id,grip_diameter,length,length\n1,33,230,231\n", "two columns are 'length'"),
    ("id,grip_diameter [furlong],length\n1,33,230\n", "is not a unit of length"),
]


@pytest.mark.parametrize(("text", "problem"), BAD_FILES)
def test_a_file_that_cannot_be_used(tmp_path, text, problem):
    with pytest.raises(ReadingError) as caught:
        read(tmp_path, text)
    assert problem in str(caught.value)
    assert caught.value.place.line >= 1
    assert caught.value.right


@pytest.mark.parametrize("encoding", ["utf-16", "latin-1"])
def test_other_encodings_are_refused_with_their_place(tmp_path, encoding):
    text = "id,grip_diameter,length,holzmaß\n1,33,230,ä\n"
    with pytest.raises(ReadingError, match="not in UTF-8") as caught:
        read(tmp_path, text, encoding=encoding)
    assert (caught.value.place.line, caught.value.place.column >= 1) == (1, True)


def test_many_bad_lines_are_counted(tmp_path):
    text = GOOD + "".join(f"x{i},oak,230\n" for i in range(100))
    got = read(tmp_path, text)
    assert (len(got.errors), got.more) == (MOST_TOLD, 100 - MOST_TOLD)
    assert got.batch.bad == 100


def test_ten_thousand_lines_in_well_under_a_second(tmp_path):
    lines = "".join(f"{i},{31 + i % 500 / 100:.2f},{229 + i % 21 / 10}\n" for i in range(10_000))
    start = time.perf_counter()
    got = read(tmp_path, "id,grip_diameter,length\n" + lines)
    assert time.perf_counter() - start < 0.8
    assert len(got.batch) == 10_000


def test_more_than_a_million_lines_are_refused_at_that_line(tmp_path):
    path = tmp_path / "dibbers.csv"
    with path.open("w") as out:
        out.write("id,grip_diameter,length\n")
        out.writelines("\n" for _ in range(LARGEST_LINES))
    wanted = Wanted(("grip_diameter", "length"), (), {}, {}, Units.MM)
    with pytest.raises(ReadingError, match="too many lines") as caught:
        read_csv(path, wanted)
    assert caught.value.place.line == LARGEST_LINES + 1


# ---- in a job -----------------------------------------------------------------------------------


def job_with(tmp_path, csv, piece="    measured: dibbers.csv\n", also=""):
    text = (ROOT / "configs/allotment.yaml").read_text(encoding="utf-8")
    given = "    grip_diameter: 31.5 to 36     # thinnest to thickest of the batch\n"
    assert given in text
    machine = (ROOT / "configs/machines/bench_router.yaml").as_posix()
    text = text.replace("machines/bench_router.yaml", machine).replace(given, piece + also)
    if csv is not None:
        (tmp_path / "dibbers.csv").write_text(csv, encoding="utf-8")
    path = tmp_path / "job.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_limits_follow_from_the_file_and_say_where_they_stand(tmp_path):
    from jigs.sizing import design

    path = job_with(tmp_path, "id,grip_diameter,taper\n1,33.1,0\n2,31.9,0.25\n3,35.3,0.1\n")
    d = design(read_job(path))
    n = d.numbers()
    least, most = n["dibber.grip_diameter_least"], n["dibber.grip_diameter_most"]
    assert (least.value, least.standing, least.where) == (31.9, "measured", "dibbers.csv:3")
    assert (most.value, most.where) == (35.3, "dibbers.csv:4")
    assert n["dibber.grip_diameter_nominal"].value == pytest.approx((31.9 + 35.3) / 2)
    assert (n["dibber.taper"].value, n["dibber.taper"].standing) == (0.25, "measured")
    assert (n["dibber.length_most"].value, n["dibber.length_most"].standing) == (231, "given")
    assert n["ring.bore_radius"].value == pytest.approx(35.3 / 2 + 3 + 0.5)


def test_pieces_may_be_listed_in_the_job_itself(tmp_path):
    rows = (
        "    measured:\n      - {id: 1, grip_diameter: 33.1}\n      - {id: 2, grip_diameter: 32}\n"
    )
    model = read_job(job_with(tmp_path, None, rows)).model.pieces["dibber"]
    assert (model.grip_diameter.least, model.grip_diameter.most) == (32, 33.1)


def test_a_value_of_the_list_that_is_wrong_is_named_by_its_line(tmp_path):
    rows = "    measured:\n      - {id: 1, grip_diameter: oak}\n    grip_diameter: 33\n"
    with pytest.raises(ReadingError) as caught:
        read_job(job_with(tmp_path, None, rows))
    assert caught.value.place.keys[:3] == ("pieces", "dibber", "measured")
    assert "oak" in str(caught.value)


def test_an_empty_cell_leaves_the_limits_of_the_job(tmp_path):
    csv = "id,grip_diameter\n1,33.1\n2,\n3,34\n"
    path = job_with(tmp_path, csv, also="    grip_diameter: 31.5 to 36\n")
    limits = read_job(path).model.pieces["dibber"].grip_diameter
    assert (limits.least, limits.most) == (31.5, 36)


def test_neither_limits_nor_measured_is_said_as_before(tmp_path):
    with pytest.raises(ReadingError, match="the key 'grip_diameter' is missing"):
        read_job(job_with(tmp_path, None, ""))


def test_a_job_with_bad_lines_is_refused_unless_they_are_left_out(tmp_path):
    lines = "".join(f"x{i},oak\n" for i in range(50))
    path = job_with(tmp_path, "id,grip_diameter\n1,33.1\n" + lines + "2,34\n")
    with pytest.raises(ReadingErrors) as caught:
        read_job(path)
    assert len(caught.value.errors) == MOST_TOLD + 1
    assert "and 30 more lines" in str(caught.value)
    job = read_job(path, skip_bad=True)
    assert len(job.measured.of["dibber"]) == 2
    assert len(job.measured.bad) == MOST_TOLD + 1


def test_a_file_that_is_not_there_is_said_in_the_job(tmp_path):
    with pytest.raises(ReadingError, match="no such file") as caught:
        read_job(job_with(tmp_path, None))
    assert caught.value.place.file.endswith("job.yaml")
    assert caught.value.place.line > 1


def test_no_good_line_is_an_error_even_when_bad_ones_are_left_out(tmp_path):
    with pytest.raises(ReadingError, match="oak"):
        read_job(job_with(tmp_path, "id,grip_diameter\n1,oak\n"), skip_bad=True)
