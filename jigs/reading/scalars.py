"""What an unquoted YAML scalar means here: YAML 1.2's core schema, less its surprises."""

from __future__ import annotations

import math
import re
from typing import TypeAlias

Scalar: TypeAlias = str | int | float | bool | None

LONGEST_NUMBER = 300
"""Characters; assumed. Python itself refuses whole numbers of more than 4,300 digits."""

# YAML 1.2.2 section 10.3.2 (core schema), but a whole number with a leading nought stays text:
# 010 is 8 for one reader and 10 for the next. Octal 0o10 and hexadecimal 0x10 stay text too.
_NULL = re.compile(r"null|Null|NULL|~|")
_BOOL = re.compile(r"true|True|TRUE|false|False|FALSE")
_INT = re.compile(r"[-+]?(?:0|[1-9][0-9]*)")
_FLOAT = re.compile(
    r"[-+]?(?:\.[0-9]+|[0-9]+\.[0-9]*)(?:[eE][-+]?[0-9]+)?|[-+]?[0-9]+[eE][-+]?[0-9]+"
)
_INFINITE = re.compile(r"[-+]?\.(?:inf|Inf|INF)")
_NOT_A_NUMBER = re.compile(r"\.(?:nan|NaN|NAN)")


def resolve(text: str) -> Scalar:
    """Return what an unquoted scalar means. Raises ValueError for a number beyond all bounds."""
    if _NULL.fullmatch(text):
        return None
    if _BOOL.fullmatch(text):
        return text.lower() == "true"
    if _INFINITE.fullmatch(text):
        return -math.inf if text.startswith("-") else math.inf
    if _NOT_A_NUMBER.fullmatch(text):
        return math.nan
    is_int = _INT.fullmatch(text)
    if not is_int and not _FLOAT.fullmatch(text):
        return text
    if len(text) > LONGEST_NUMBER:
        raise ValueError("number too long")
    return int(text) if is_int else float(text)


def kind_of(value: Scalar) -> str:
    """Return the YAML name of a scalar's type."""
    return {bool: "bool", int: "int", float: "float", str: "str"}.get(type(value), "null")
