"""README's pictures, by one command: `python -m jigs.outputs.cad.renders [configs] [renders]`.

Few and small: what each jig looks like on its machine, what it is made of, how it is worked.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageChops

from jigs.errors import ExportError
from jigs.outputs.cad import picture
from jigs.outputs.cad.pictures import pictures
from jigs.outputs.cad.png import png
from jigs.reading.job import read_job
from jigs.sizing import design
from jigs.solids.scene import Scene

MOST_BYTES = 200_000
_WIDTH = 900  # pixels
_MARGIN = 12
_WHITE = (255, 255, 255)


@dataclass(frozen=True)
class Shot:
    """One picture of README: of which job, which of its pictures, under which name."""

    job: str
    picture: str
    name: str


SHOTS = (
    Shot("allotment", "marking on the machine", "allotment_dibbers"),
    Shot("allotment", "slotting on the machine", "allotment_posts"),
    Shot("stool", "tenoning on the machine", "stool"),
    Shot("skittles", "dotting on the machine", "skittles"),
    Shot("allotment", "ring apart", "ring_apart"),
    Shot("allotment", "clamp apart", "clamp_apart"),
    Shot("allotment", "gauge, the gauge slides off", "gauge_slides_off"),
    Shot("allotment", "ring, the piece comes out upwards", "piece_out_of_ring"),
    Shot("allotment", "clamp, the moving jaw opens", "clamp_opens"),
    Shot("allotment", "clamp, the piece comes out upwards", "piece_out_of_clamp"),
)


def write_renders(configs: Path, folder: Path, shots: tuple[Shot, ...] = SHOTS) -> Iterator[Path]:
    """Draw README's pictures from the jobs of a folder; yields each file as it is written.

    Raises: ExportError where nothing can be painted, or a picture is not there or too large.
    """
    if not picture.gl_ok():
        raise ExportError(picture.NO_GL_NOTE)
    folder.mkdir(parents=True, exist_ok=True)
    for job in dict.fromkeys(shot.job for shot in shots):
        scene = Scene(design(read_job(configs / f"{job}.yaml")))
        wanted = {painting.name: painting for painting in pictures(scene)}
        for shot in shots:
            if shot.job != job:
                continue
            if shot.picture not in wanted:
                raise ExportError(
                    f"{job} has no picture '{shot.picture}'; there is: {', '.join(wanted)}"
                )
            path = folder / f"{shot.name}.png"
            with Image.open(io.BytesIO(wanted[shot.picture].paint())) as page:
                _save(page.convert("RGB"), path)
            yield path


def _save(image: Image.Image, path: Path) -> None:
    """Without its white rim, and small."""
    ink = ImageChops.difference(image, Image.new("RGB", image.size, _WHITE)).getbbox()
    left, top, right, bottom = ink or (0, 0, *image.size)
    rim = (left - _MARGIN, top - _MARGIN, right + _MARGIN, bottom + _MARGIN)
    cut = Image.new("RGB", (rim[2] - rim[0], rim[3] - rim[1]), _WHITE)
    cut.paste(image.crop((left, top, right, bottom)), (_MARGIN, _MARGIN))
    cut.thumbnail((_WIDTH, _WIDTH), Image.Resampling.LANCZOS)
    path.write_bytes(png(cut))
    if path.stat().st_size > MOST_BYTES:
        raise ExportError(f"{path.name} has {path.stat().st_size} bytes, more than {MOST_BYTES}")


def main(arguments: list[str]) -> None:
    """Write the pictures and name each on stdout."""
    given = [Path(argument) for argument in arguments]
    configs, renders = [*given, *(Path("configs"), Path("renders"))[len(given) :]]
    for path in write_renders(configs, renders):
        sys.stdout.write(f"{path}\n")


if __name__ == "__main__":
    main(sys.argv[1:])
