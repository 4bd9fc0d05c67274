"""The type that drawings are set in, and how wide it runs: boxes of text are exact, not guessed.

DejaVu Sans has the letters of most languages of Europe and comes with the picture library; where it
is missing, reportlab's own Vera stands in.
"""

from __future__ import annotations

import importlib.util
from functools import cache
from pathlib import Path

PLAIN, BOLD = "drawing", "drawing bold"
FAMILY = "DejaVu Sans"

CAPITALS = 0.729
"""Height of a capital over the size of the type (DejaVu Sans: 1493 of 2048 units)."""


@cache
def files() -> tuple[Path, Path]:
    """The font files, plain and bold."""
    found = importlib.util.find_spec("matplotlib")
    if found is not None and found.origin is not None:
        folder = Path(found.origin).parent / "mpl-data" / "fonts" / "ttf"
        names = folder / "DejaVuSans.ttf", folder / "DejaVuSans-Bold.ttf"
        if all(name.is_file() for name in names):
            return names
    import reportlab

    folder = Path(reportlab.__file__).parent / "fonts"
    return folder / "Vera.ttf", folder / "VeraBd.ttf"


@cache
def registered() -> None:
    """Tell the PDF library of the type, once a process."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for name, file in zip((PLAIN, BOLD), files(), strict=True):
        pdfmetrics.registerFont(TTFont(name, str(file)))


@cache
def width_of(words: str, size: float, bold: bool = False) -> float:
    """Length of a line of text, in the unit of its size."""
    from reportlab.pdfbase import pdfmetrics

    registered()
    return float(pdfmetrics.stringWidth(words, BOLD if bold else PLAIN, size))
