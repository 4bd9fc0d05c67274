"""STEP files (ISO 10303-21, application protocol 214), mm, the same bytes on every run.

The kernel's translator leaves three things to chance: the order of the colour entities follows
memory addresses, occurrence ids count on from the last file, and the header holds the time. Names
it writes unescaped and breaks in the middle. So it is given short stand-ins for the names, and the
text that it writes is put in order, named and headed here.
"""

from __future__ import annotations

import io
import re
from pathlib import Path
from textwrap import wrap
from typing import Any

from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy, BRepBuilderAPI_Transform
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.Quantity import Quantity_Color, Quantity_ColorRGBA, Quantity_TOC_sRGB
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_StepModelType
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_COMPOUND
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Iterator
from OCP.XCAFApp import XCAFApp_Application
from OCP.XCAFDoc import XCAFDoc_ColorGen, XCAFDoc_DocumentTool
from OCP.XSControl import XSControl_WorkSession

from jigs.errors import ExportError
from jigs.model.pose import Pose
from jigs.outputs.cad.tree import Colour, Group, Leaf, location

TIME_STAMP = "2000-01-01T00:00:00"
"""Fixed: when a file was made is the file system's to tell."""

_SETTINGS = {
    "write.step.schema": "AP214IS",
    "xstep.cascade.unit": "MM",
    "write.step.unit": "MM",
}
_HEADER_STRING = 240  # ISO 10303-21 lets a string of the header hold 256 characters

_STAND_IN = re.compile(r"'~(\d{6})~'")
_OCCURRENCE = re.compile(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\(\s*'\d*',([^;]*);")
_COLOURING = "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION("
_REFERENCE = re.compile(r"#\d+")
_BREAK = re.compile(r"\s*\n\s*")
_UNPRINTABLE = re.compile(r"[^ -~]+")


def write_step(root: Group | Leaf, path: Path, description: str) -> None:
    """Write an assembly, or one part, as STEP AP214 in mm.

    Occurrences carry their own name, products the name of the part. Leaves with the same shape
    object, product and colour become occurrences of one product. A root leaf becomes a single
    part; a place given to the root itself is kept.

    Parameters: description = goes into the file's header, for example "NOT MET: ...".
    Raises: ExportError if the kernel cannot translate a solid or the file cannot be written.
    """
    title = root.product if isinstance(root, Leaf) else root.name
    text = header(title, description) + step_body(root, path.name)
    try:
        path.write_text(text, encoding="ascii", newline="\n")
    except OSError as error:
        raise ExportError(
            f"{path.name}: the STEP file could not be written ({error.strerror})"
            "\n  remedy: see that the folder exists, may be written and has room"
        ) from error


def step_body(root: Group | Leaf, name: str) -> str:
    """What follows the header in a STEP file: it depends on the tree alone. See `write_step`.

    Parameters: name = of the file, for messages. Raises: ExportError.
    """
    names = _Names()
    document = _Document(names)
    document.put(root)
    text = _translate(document.document, name)
    try:
        return _canonical(text, names)
    except _UnexpectedText as error:
        raise ExportError(f"{name}: the kernel wrote STEP text of a form {error}") from error


class _UnexpectedText(Exception):
    """The translator's text is not what this module knows how to put in order."""


class _Names:
    """Short stand-ins for names, so that no name meets the translator's wrapping and encoding."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def stand_in(self, name: str) -> str:
        return f"~{self._numbers.setdefault(name, len(self._numbers)):06d}~"

    def put_back(self, text: str) -> str:
        quoted = [_quoted(name) for name in self._numbers]
        return _STAND_IN.sub(lambda match: quoted[int(match[1])], text)


class _Document:
    """The kernel's document: products on labels, occurrences as components."""

    def __init__(self, names: _Names) -> None:
        self.document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
        XCAFApp_Application.GetApplication_s().InitDocument(self.document)
        self._shapes = XCAFDoc_DocumentTool.ShapeTool_s(self.document.Main())
        self._shapes.SetAutoNaming_s(False)
        self._colours = XCAFDoc_DocumentTool.ColorTool_s(self.document.Main())
        self._names = names
        self._products: dict[tuple[int, str, Colour], Any] = {}

    def put(self, root: Group | Leaf) -> None:
        if isinstance(root, Group):
            self._group(root, root.pose)
        else:
            placed = root.shape.wrapped.Moved(location(root.pose).wrapped)
            self._new_product(placed, root.product, root.colour)
        self._shapes.UpdateAssemblies()

    def _group(self, group: Group, outer: Pose) -> Any:
        label = self._named(self._shapes.NewShape(), group.name)
        for member in group.members:
            product = (
                self._product(member)
                if isinstance(member, Leaf)
                else self._group(member, outer=Pose())
            )
            place = location(outer @ member.pose).wrapped
            self._named(self._shapes.AddComponent(label, product, place), member.name)
        return label

    def _product(self, leaf: Leaf) -> Any:
        key = (id(leaf.shape), leaf.product, leaf.colour)
        if key not in self._products:
            self._products[key] = self._new_product(leaf.shape.wrapped, leaf.product, leaf.colour)
        return self._products[key]

    def _new_product(self, shape: Any, name: str, colour: Colour) -> Any:
        label = self._named(self._shapes.NewShape(), name)
        self._shapes.SetShape(label, _own_body(shape))
        red, green, blue, opacity = colour
        shade = Quantity_Color(red, green, blue, Quantity_TOC_sRGB)
        self._colours.SetColor(label, Quantity_ColorRGBA(shade, opacity), XCAFDoc_ColorGen)
        return label

    def _named(self, label: Any, name: str) -> Any:
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(self._names.stand_in(name)))
        return label


def _own_body(shape: Any) -> Any:
    """Return a copy without a location and without needless wrapping.

    A located shape would lose name and colour, as would one alone in a compound, which cuts often
    leave; and the translator makes one product of two that share a body.
    """
    shape = _unwrapped(shape)
    place = shape.Location()
    if place.IsIdentity():
        return BRepBuilderAPI_Copy(shape, True, False).Shape()
    bare = shape.Located(TopLoc_Location())
    return BRepBuilderAPI_Transform(bare, place.Transformation(), True).Shape()


def _unwrapped(shape: Any) -> Any:
    while shape.ShapeType() == TopAbs_COMPOUND and shape.NbChildren() == 1:
        shape = TopoDS_Iterator(shape).Value()
    return shape


def _translate(document: Any, name: str) -> str:
    STEPCAFControl_Writer()  # the first one makes the settings known to the kernel
    for setting, value in _SETTINGS.items():
        if not Interface_Static.SetCVal_s(setting, value):
            raise ExportError(f"{name}: the kernel knows no STEP setting {setting} = {value}")
    writer = STEPCAFControl_Writer(XSControl_WorkSession(), False)
    writer.SetNameMode(True)
    writer.SetColorMode(True)
    if not writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs):
        raise ExportError(f"{name}: the kernel could not translate the solids to STEP")
    written = io.BytesIO()
    if writer.WriteStream(written) != IFSelect_RetDone:
        raise ExportError(f"{name}: the kernel could not write the solids as STEP")
    return written.getvalue().decode("ascii")


def header(title: str, description: str) -> str:
    """The header section: what the file says of itself. `title` = of the root."""
    lines = [part for line in description.splitlines() for part in wrap(line, _HEADER_STRING)]
    described = ",\n  ".join(_quoted(line) for line in lines or [""])
    return (
        "ISO-10303-21;\nHEADER;\n"
        f"FILE_DESCRIPTION(({described}),'2;1');\n"
        f"FILE_NAME({_quoted(title)},'{TIME_STAMP}',(''),(''),'Open CASCADE','jigs','');\n"
        "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));\n"
        "ENDSEC;\n"
    )


def _quoted(text: str) -> str:
    """A string of ISO 10303-21: quotes and backslashes doubled, other alphabets in hexadecimal."""
    plain = text.replace("\\", "\\\\").replace("'", "''")
    return f"'{_UNPRINTABLE.sub(_in_hexadecimal, plain)}'"


def _in_hexadecimal(match: re.Match[str]) -> str:
    codes = [ord(letter) for letter in match[0]]
    directive, digits = ("\\X4\\", 8) if max(codes) > 0xFFFF else ("\\X2\\", 4)
    return directive + "".join(f"{code:0{digits}X}" for code in codes) + "\\X0\\"


def _canonical(text: str, names: _Names) -> str:
    """Return the data section and what follows, in an order that depends on the content alone."""
    start = text.find("DATA;\n")
    end = text.rfind(";\nENDSEC;")
    if start < 0 or end < 0:
        raise _UnexpectedText("without a data section")
    colouring = text.find(_COLOURING)
    if colouring < 0:
        raise _UnexpectedText("without colours")
    cut = text.rfind("\n#", start, colouring) + 1
    body = _numbered_occurrences(text[start:cut])
    return names.put_back(body) + _sorted_colours(text[cut:end]) + text[end + 2 :]


def _numbered_occurrences(body: str) -> str:
    count = 0

    def numbered(match: re.Match[str]) -> str:
        nonlocal count
        count += 1
        return f"NEXT_ASSEMBLY_USAGE_OCCURRENCE('{count}',{_BREAK.sub('', match[1])};"

    return _OCCURRENCE.sub(numbered, body)


def _sorted_colours(tail: str) -> str:
    """Sort the colour entities by what they say, and number them anew in that order."""
    entities = _entities(tail)
    first = int(next(iter(entities))[1:])
    if list(entities) != [f"#{first + i}" for i in range(len(entities))]:
        raise _UnexpectedText("whose colour entities are not numbered in turn")
    meanings: dict[str, str] = {}
    new: dict[str, str] = {}

    def meaning(number: str) -> str:
        if number not in entities:
            return number
        if number not in meanings:
            meanings[number] = _REFERENCE.sub(lambda ref: meaning(ref[0]), entities[number])
        return meanings[number]

    def visit(number: str) -> None:
        if number in entities and number not in new:
            new[number] = f"#{first + len(new)}"
            for ref in _REFERENCE.findall(entities[number]):
                visit(ref)

    roots = [number for number, content in entities.items() if content.startswith(_COLOURING)]
    for number in roots:
        items, rest = entities[number].removeprefix(_COLOURING + "'',(").split(")", 1)
        in_order = ",".join(sorted(items.split(","), key=meaning))
        entities[number] = f"{_COLOURING}'',({in_order}){rest}"
    for number in sorted(roots, key=meaning):
        visit(number)
    if len(new) != len(entities):
        raise _UnexpectedText("whose colour entities do not belong together")

    def renumbered(content: str) -> str:
        return _REFERENCE.sub(lambda ref: new.get(ref[0], ref[0]), content)

    return "".join(f"{new[number]} = {renumbered(entities[number])};\n" for number in new)


def _entities(section: str) -> dict[str, str]:
    found: dict[str, str] = {}
    for statement in section.split(";\n"):
        number, _, content = statement.partition(" = ")
        found[number] = _BREAK.sub("", content)
    return found
