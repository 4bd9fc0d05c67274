"""A machine that is described already: a second job on it asks nothing of it again."""

from __future__ import annotations

import os
from pathlib import Path

from jigs.errors import Place, ReadingError
from jigs.reading.models import MachineFile
from jigs.reading.source import load
from jigs.reading.validate import validate
from jigs.starting.answers import Answers
from jigs.units import Units


def with_machine(a: Answers, file: Path) -> None:
    """Take the machine of a file into the answers; the job will name it by a relative path.

    Raises ReadingError(s) for a file that is no machine, one without cutters, and one that no
    relative path leads to (another drive, on Windows).
    """
    source = load(file)
    inch = source.data.get("units") == Units.INCH.value
    a.machine = validate(MachineFile, source, units=Units.INCH if inch else Units.MM)
    if not a.machine.cutters:
        raise ReadingError(Place(str(file), keys=("cutters",)), "this machine has no cutters",
                           "none", "at least one, under cutters:")  # fmt: skip
    folder = (a.file.parent if a.file else a.folder).absolute()
    try:
        path = os.path.relpath(file.absolute(), folder)
    except ValueError as error:
        raise ReadingError(Place(str(file)), f"no path leads there from the job ({error})", "",
                           "both on one drive") from None  # fmt: skip
    a.machine_path = Path(path).as_posix()
