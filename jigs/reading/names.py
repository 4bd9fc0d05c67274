"""Names that the user gives to pieces, jigs and setups: they become names of files and folders."""

from __future__ import annotations

import re
from typing import Annotated

from pydantic import AfterValidator, WithJsonSchema

from jigs.units import ValueRefused

NAME_PATTERN = r"^[A-Za-z]([A-Za-z0-9_ -]{0,38}[A-Za-z0-9_-])?$"
# Source: Microsoft, "Naming Files, Paths, and Namespaces" (Win32 documentation), from memory.
_KEPT_BY_WINDOWS = re.compile(r"con|prn|aux|nul|(com|lpt)[0-9]", re.IGNORECASE)
_RIGHT = (
    "a letter, then letters, digits, spaces, - or _ (no space last), 40 at most: "
    "it becomes the name of files"
)


def usable_name(name: str) -> str:
    """Return the name as it is. Raises ValueRefused if it cannot be a file's name everywhere."""
    if not re.fullmatch(NAME_PATTERN, name):
        raise ValueRefused(f"'{name[:60]}' cannot be a name", _RIGHT)
    if _KEPT_BY_WINDOWS.fullmatch(name):
        raise ValueRefused(
            f"'{name}' cannot be a name: Windows keeps it for itself", f"another, such as {name}_1"
        )
    return name


Name = Annotated[
    str,
    AfterValidator(usable_name),
    WithJsonSchema({"type": "string", "pattern": NAME_PATTERN}),
]
